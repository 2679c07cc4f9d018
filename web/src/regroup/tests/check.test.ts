import { expect, test } from 'vitest'
import { check } from '../index'
import type { Tonight } from '../tonight'
import { group, LEAN, LINE, PAIRS, sentences, tonight } from './holds'

const YES = "a teacher's yes to begin for Amara as base"

test('nothing stops and nothing asks', () => {
  const found = check(tonight('Amara Bao', { roles: LEAN }), [group({ partner: 'Amara Bao' })])
  expect(found).toEqual({
    groups: [
      {
        id: 'Amara Bao',
        seats: { partner: ['Amara', 'Bao'] },
        locked: false,
        number: 1,
        turn: 1,
        stops: [],
        asks: [],
        says: [],
        forATeacher: false,
      },
    ],
    stops: [],
    stillToPlace: [],
  })
})

test('what stops and what asks of one child is what the table says', () => {
  const evening = tonight('Amara Bao', {
    roles: PAIRS,
    ask: { 'base Amara': YES },
    stop: { 'flyer Bao': 'no lifts for now' },
  })
  const [found] = check(evening, [group({ base: 'Amara', flyer: 'Bao' })]).groups
  expect(found?.stops).toEqual([
    { code: 'stop', sentence: 'Bao: no lifts for now', students: ['Bao'], role: 'flyer' },
  ])
  expect(found?.asks).toEqual([{ code: 'ask', sentence: YES, students: ['Amara'], role: 'base' }])
  expect(found?.forATeacher).toBe(true)
})

test('a pair is asked about until a teacher has said yes, and only this way round', () => {
  const both = [
    ['Amara', 'Bao'],
    ['Bao', 'Amara'],
  ] as const
  const evening = tonight('Amara Bao', {
    roles: PAIRS,
    toAgree: both,
    table: { agreed: [[0, 1]] },
  })
  const asks = (base: string, flyer: string) =>
    check(evening, [group({ base, flyer })]).groups[0]?.asks
  expect(asks('Amara', 'Bao')).toEqual([])
  expect(asks('Bao', 'Amara')).toEqual([
    {
      code: 'pair',
      sentence: '“these two: yes” for Bao with Amara',
      students: ['Bao', 'Amara'],
      role: null,
    },
  ])
})

test('of two who do not fit nothing is said but to take another', () => {
  const kinds = [
    { another: [['Amara', 'Bao']] as const },
    { table: { not_with: [[0, 1]] } },
    { table: { only_with: [[1, 2]] } },
  ]
  const told = kinds.map((kind) => {
    const evening = tonight('Amara Bao Chidi', { roles: PAIRS, ...kind })
    return check(evening, [group({ base: 'Amara', flyer: 'Bao' })]).groups[0]?.stops
  })
  const another = {
    code: 'another',
    sentence: 'another base',
    students: ['Amara', 'Bao'],
    role: null,
  }
  expect(told).toEqual([[another], [another], [another]])
})

test('between partners it is another partner', () => {
  const evening = tonight('Amara Bao', { roles: LEAN, table: { not_with: [[0, 1]] } })
  const [found] = check(evening, [group({ partner: 'Amara Bao' })]).groups
  expect(sentences(found?.stops ?? [])).toEqual(['another partner'])
})

test('a wish for somebody who is not here does not count', () => {
  const evening = tonight('Amara Bao Chidi', {
    roles: LEAN,
    table: { only_with: [[1, 2]] },
    tonight: { here: ['Amara', 'Bao'] },
  })
  expect(check(evening, [group({ partner: 'Amara Bao' })]).groups[0]?.stops).toEqual([])
})

test('who is away, not today, or no longer on the list', () => {
  const evening = tonight('Amara Bao Chidi', {
    roles: LEAN,
    tonight: { here: ['Chidi'], notToday: ['Bao'] },
  })
  const found = check(evening, [
    group({ partner: 'Amara Bao' }),
    group({ partner: 'Chidi Nobody' }),
  ]).groups
  expect(found.map(({ stops }) => sentences(stops))).toEqual([
    ['Amara is not here tonight', 'Bao: not today'],
    ['somebody who has left the class is in this group'],
  ])
})

test('too few, too many, and a role that the card does not have', () => {
  const evening = tonight('Amara Bao Chidi Demba Esra', { roles: PAIRS })
  const found = check(evening, [group({ base: 'Amara Bao Chidi Demba', back: 'Esra' })]).groups
  expect(sentences(found[0]?.stops ?? [])).toEqual([
    'three too many as base',
    'one more as flyer',
    'one too many as back',
  ])
})

test('a longer line than one would be proposed is asked about', () => {
  const evening = tonight('Amara Bao Chidi Demba', { roles: LINE, learningSize: 3 })
  const line = (middle: string) =>
    check(evening, [group({ front: 'Amara', middle, back: 'Bao' })]).groups[0]
  expect(line('Chidi')?.asks).toEqual([])
  expect(line('Chidi Demba')?.stops).toEqual([])
  expect(line('Chidi Demba')?.asks).toEqual([
    {
      code: 'line',
      sentence: 'a look at a line of four',
      students: ['Amara', 'Bao', 'Chidi', 'Demba'],
      role: null,
    },
  ])
})

test('a child whom the table does not know is looked at; nobody lifts her', () => {
  const floor = tonight('Amara', { roles: PAIRS, tonight: { here: ['Amara', 'Zola'] } })
  const groups = [group({ base: 'Amara', flyer: 'Zola' })]
  const [onTheFloor] = check(floor, groups).groups
  expect(onTheFloor?.stops).toEqual([])
  expect(sentences(onTheFloor?.asks ?? [])).toEqual(['a look at Zola, new on this phone'])
  const [inTheAir] = check({ ...floor, card: { ...floor.card, lifted: true } }, groups).groups
  expect(sentences(inTheAir?.stops ?? [])).toEqual(['Zola: new on this phone, no lifts yet'])
  expect(inTheAir?.asks).toEqual([])
})

test('an assistant leaves to a teacher what lifts or asks', () => {
  const evening = tonight('Amara Bao Chidi Demba', {
    roles: PAIRS,
    ask: { 'base Amara': YES },
    tonight: { assistant: true },
  })
  const groups = [
    group({ base: 'Amara', flyer: 'Bao' }),
    group({ base: 'Chidi', flyer: 'Demba' }),
  ]
  const look = 'a teacher looks at this group first'
  const asks = (lifted: boolean) =>
    check({ ...evening, card: { ...evening.card, lifted } }, groups).groups.map((one) =>
      sentences(one.asks),
    )
  expect(asks(false)).toEqual([[YES, look], []])
  expect(asks(true)).toEqual([[YES, look], [look]])
})

test('what the service said of a base is said while she is one', () => {
  const again = {
    code: 'base_again',
    sentence: 'Amara: base in the last three lessons',
    students: ['Amara'],
    role: 'base',
  }
  const last = {
    code: 'last_lift',
    sentence: 'the last lift goes up by 17:35',
    students: [],
    role: null,
  }
  const wish = { code: 'wish', sentence: 'look first', students: ['Amara', 'Bao'], role: null }
  const evening = tonight('Amara Bao', { roles: PAIRS, tonight: { says: [again, last, wish] } })
  const says = (base: string, flyer: string) =>
    check(evening, [group({ base, flyer })]).groups[0]?.says
  expect(says('Amara', 'Bao')).toEqual([again, last])
  expect(says('Bao', 'Amara')).toEqual([last])
})

test('too few adults in the room stop what is lifted or spotted, as counted here', () => {
  const told = { code: 'adults_in_room', sentence: 'as the table has it' } as const
  const stops = (room: Tonight['room'], more: object = { lifted: true }) => {
    const table = { stops: [told], adults: 1 }
    const evening = tonight('Amara Bao', { roles: LEAN, table, tonight: { room }, ...more })
    return sentences(check(evening, [group({ partner: 'Amara Bao' })]).stops)
  }
  const two = 'two adults should be in the room for this, one is named'
  expect(stops(undefined)).toEqual(['as the table has it'])
  expect(stops({ there: 1, needed: 2 })).toEqual([two])
  expect(stops({ there: 1, needed: 2 }, { spotted: true })).toEqual([two])
  expect(stops({ there: 1, needed: 2 }, {})).toEqual([])
  expect(stops({ there: 2, needed: 2 })).toEqual([])
  expect(stops({ there: 0, needed: 1 })).toEqual([
    'one adult should be in the room for this, none are named',
  ])
})

test('what is spotted is stopped with nobody free, also where no group needs an adult', () => {
  const free = (adults: number) =>
    check(tonight('Amara Bao', { roles: LEAN, spotted: true, tonight: { adults } }), [
      group({ partner: 'Amara Bao' }),
    ]).stops.map(({ code }) => code)
  expect(free(0)).toEqual(['no_spotter'])
  expect(free(1)).toEqual([])
})

test('groups take turns under the adults who spot, and no more than they take', () => {
  const evening = tonight('Amara Bao Chidi Demba Esra Farah', {
    roles: LEAN,
    table: { adults: 2, adults_a_group: 1 },
  })
  const groups = [
    group({ partner: 'Amara Bao' }),
    group({ partner: 'Chidi Demba' }),
    group({ partner: 'Esra Farah' }),
  ]
  const found = check(evening, groups)
  expect(found.groups.map(({ turn }) => turn)).toEqual([1, 1, 2])
  expect(sentences(found.stops)).toEqual([
    'whoever is free to spot takes two groups in turn, not three',
  ])
  expect(check({ ...evening, adults: 3 }, groups).stops).toEqual([])
  expect(sentences(check({ ...evening, adults: 0 }, groups).stops)).toEqual([
    'no adult is free tonight who may spot this',
  ])
  expect(sentences(check({ ...evening, adults: 3, mats: 1 }, groups).stops)).toEqual([
    'the mats hold one group in turn, not three',
  ])
})

test('who is still to place, by name, and what would help', () => {
  const evening = tonight('Amara Bao Chidi Demba Esra', {
    roles: PAIRS,
    notReady: ['base Bao', 'flyer Bao', 'base Chidi', 'flyer Demba'],
    ask: { 'base Bao': "a teacher's yes to begin for Bao as base: missing is standing tight" },
    stop: { 'flyer Chidi': 'the wrists rest until 3 May', 'flyer Esra': 'no back bends' },
    another: [
      ['Demba', 'Amara'],
      ['Esra', 'Amara'],
    ],
    tonight: { here: ['Zola', 'Esra', 'Demba', 'Chidi', 'Bao', 'Amara'] },
  })
  const { stillToPlace } = check(evening, [])
  expect(
    stillToPlace.map(({ student, reason, sentence }) => [student.id, reason, sentence]),
  ).toEqual([
    ['Amara', 'no_fitting_partner', 'Another base would help; so would another hold.'],
    ['Bao', 'not_ready', "a teacher's yes to begin for Bao as base: missing is standing tight"],
    ['Chidi', 'barred', 'the wrists rest until 3 May'],
    ['Demba', 'no_fitting_partner', 'Another partner would help; so would another hold.'],
    ['Esra', 'no_fitting_partner', 'Another partner would help; so would another hold.'],
    ['Zola', 'not_known', 'New on this phone: a teacher finds a place by hand.'],
  ])
})

test('who could take a place in a group, and who could not', () => {
  const evening = tonight('Amara Bao Chidi', { roles: LEAN })
  const left = (table: object) =>
    check({ ...evening, table: { ...evening.table, ...table } }, [
      group({ partner: 'Amara Bao' }),
    ]).stillToPlace[0]?.sentence
  expect(left({})).toBe('A turn with group 1 would work, while somebody there rests.')
  expect(left({ groups_at_most: 0 })).toBe('A free mat would help.')
  expect(left({ adults_a_group: 1 })).toBe(
    'One more adult free to spot would help; so would another hold.',
  )
  expect(left({ adults_a_group: 2 })).toBe(
    'Two more adults free to spot would help; so would another hold.',
  )
})
