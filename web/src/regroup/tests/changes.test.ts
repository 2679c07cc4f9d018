import { expect, test } from 'vitest'
import { carriedOn } from '../formed'
import { stated } from '../problem'
import { searched } from '../solve'
import { Table } from '../table'
import { weightsOf } from '../weights'
import { worthOf } from '../worth'
import { latecomer, leastChange, leaves, moved, propose, swapped } from '../index'
import { group, LEAN, LINE, PAIRS, seatsOf, sentences, tonight } from './holds'

const FOUR = 'Amara Bao Chidi Demba'

// -- proposals -------------------------------------------------------------------------------

test('of equals each child goes with the first in the table who is left', () => {
  expect(seatsOf(propose(tonight(FOUR, { roles: LEAN })).groups)).toEqual([
    { partner: 'Amara Bao' },
    { partner: 'Chidi Demba' },
  ])
  expect(seatsOf(propose(tonight(FOUR, { roles: PAIRS })).groups)).toEqual([
    { base: 'Amara', flyer: 'Bao' },
    { base: 'Chidi', flyer: 'Demba' },
  ])
})

test('what stood keeps its id; a group that changes is no longer locked', () => {
  const before = [group({ partner: 'Bao Demba' }, true), group({ partner: 'Amara Chidi' })]
  const evening = tonight(`${FOUR} Esra`, { roles: LEAN })
  const found = (here: string) =>
    propose({ ...evening, here: here.split(' ') }, before).groups.map((one) => [
      one.id,
      one.locked,
      one.seats,
    ])
  expect(found(FOUR)).toEqual([
    ['Bao Demba', true, { partner: ['Bao', 'Demba'] }],
    ['Amara Chidi', false, { partner: ['Amara', 'Chidi'] }],
  ])
  expect(found('Amara Chidi Demba Esra')).toEqual([
    ['Bao Demba', false, { partner: ['Demba', 'Esra'] }],
    ['Amara Chidi', false, { partner: ['Amara', 'Chidi'] }],
  ])
})

test('a group carries on the one with which it shares most places, then most children', () => {
  const table = new Table(tonight(FOUR, { roles: PAIRS }).table)
  const found = [{ base: [0], flyer: [2] }]
  const before = [
    group({ base: 'Chidi', flyer: 'Amara' }),
    group({ base: 'Amara', flyer: 'Bao' }),
  ]
  const { became } = carriedOn(table, found, before)
  expect(became.map((one) => one?.id)).toEqual([undefined, 'Amara Bao'])
  const swapped = [
    group({ base: 'Bao', flyer: 'Amara' }),
    group({ base: 'Chidi', flyer: 'Amara' }),
  ]
  expect(carriedOn(table, found, swapped).became.map((one) => one?.id)).toEqual([
    undefined,
    'Chidi Amara',
  ])
})

test('partners stay together where the card says so, and change where it does not', () => {
  const past_pairs = [
    [0, 1, 2],
    [2, 3, 2],
    [0, 2, 1],
    [1, 3, 1],
  ]
  const pairs = (keep_partners: boolean) =>
    seatsOf(propose(tonight(FOUR, { roles: LEAN, table: { past_pairs, keep_partners } })).groups)
  expect(pairs(true)).toEqual([{ partner: 'Amara Bao' }, { partner: 'Chidi Demba' }])
  expect(pairs(false)).toEqual([{ partner: 'Amara Demba' }, { partner: 'Bao Chidi' }])
})

test('where something stops the skill for everybody nobody is placed, and that is said', () => {
  const sentence = 'two adults should be in the room for this, one is named'
  const stop = { code: 'adults_in_room', sentence } as const
  const found = propose(tonight(FOUR, { roles: LEAN, table: { stops: [stop] } }))
  expect([found.groups, found.stops]).toEqual([[], [{ ...stop, students: [], role: null }]])
})

test('a group with a child whom the table does not know stays as a teacher put it', () => {
  const here = [...FOUR.split(' '), 'Zola']
  const evening = tonight(FOUR, { roles: LEAN, tonight: { here } })
  const before = [group({ partner: 'Bao Zola' })]
  const found = propose(evening, before)
  expect(seatsOf(found.groups)).toEqual([{ partner: 'Bao Zola' }, { partner: 'Amara Chidi' }])
  expect(found.stillToPlace.map(({ student }) => student.id)).toEqual(['Demba'])
})

test('a class of twenty-four gets the best that was found, the same each time', () => {
  const names = Array.from({ length: 24 }, (_, at) => `C${String(at).padStart(2, '0')}`)
  const past_pairs = names.slice(1).map((_, at) => [at, at + 1, 1 + (at % 2)])
  const evening = tonight(names.join(' '), {
    roles: PAIRS,
    table: { past_pairs, not_with: [[0, 2]], only_with: [[1, 23]], groups_at_most: 24 },
  })
  const locked = group({ base: 'C05', flyer: 'C09' }, true)
  const found = propose(evening, [locked])
  expect(found.proven).toBe(false)
  expect(found.worth).toEqual({ placed: 24, kept: 2, fairness: 0, asks: 0, repeats: 0 })
  expect(found.groups[0]?.seats).toEqual(locked.seats)
  expect(propose({ ...evening, here: [...names].reverse() }, [locked])).toEqual(found)
  const { groups, worth } = propose({ ...evening, here: names.slice(1) }, found.groups)
  expect([worth.placed, worth.kept]).toEqual([22, 22])
  expect(groups).toHaveLength(11)
})

test('of two who may stay together no more only one keeps her group, however many there are', () => {
  const names = Array.from({ length: 24 }, (_, at) => `C${String(at).padStart(2, '0')}`)
  const not_with = names.flatMap((_, at) => (at % 2 ? [] : [[at, at + 1]]))
  const table = { not_with, groups_at_most: 12 }
  const evening = tonight(names.join(' '), { roles: LEAN, table })
  const formed = not_with.map((partner) => ({ partner }))
  const problem = stated(evening, new Table(evening.table), { formed, locked: [] })
  const found = searched(problem, weightsOf(problem), problem.free, formed)
  expect(found).toHaveLength(12)
  expect(new Set(found.map(({ stood }) => stood)).size).toBe(12)
  expect(
    worthOf(
      problem,
      found.map(({ seats }) => seats),
    ).kept,
  ).toBe(12)
})

// -- the least change ------------------------------------------------------------------------

test('where nothing stops nothing changes', () => {
  expect(
    leastChange(tonight(FOUR, { roles: LEAN }), [group({ partner: 'Amara Bao' })]),
  ).toBeNull()
})

test('two change roles, where that is all that helps', () => {
  const evening = tonight('Amara Bao', {
    roles: PAIRS,
    stop: { 'base Amara': 'the wrists rest' },
  })
  const found = leastChange(evening, [group({ base: 'Amara', flyer: 'Bao' })])
  expect(sentences(found?.changes ?? [])).toEqual([
    'group 1: another base, Bao instead of Amara',
    'group 1: another flyer, Amara instead of Bao',
  ])
})

test('somebody comes in, is too many, or is left over', () => {
  const changes = (here: string, ...groups: Parameters<typeof group>[0][]) => {
    const evening = tonight(FOUR, { roles: LEAN, tonight: { here: here.split(' ') } })
    return sentences(
      leastChange(
        evening,
        groups.map((one) => group(one)),
      )?.changes ?? [],
    )
  }
  expect(changes('Bao Chidi', { partner: 'Amara Bao' })).toEqual([
    'group 1: another partner, Chidi instead of Amara',
  ])
  expect(changes('Bao Chidi', { partner: 'Bao' })).toEqual(['group 1: Chidi as partner too'])
  expect(changes(FOUR, { partner: FOUR })).toEqual([
    'group 1: without Chidi and Demba as partner',
    'group 2 is new: Chidi and Demba',
  ])
  expect(changes('Bao Chidi', { partner: 'Amara Bao' }, { partner: 'Chidi Demba' })).toEqual([
    'group 1: another partner, Chidi instead of Amara',
    'group 2 is not there this time',
  ])
  expect(changes('Bao', { partner: 'Amara Bao' })).toEqual([
    'group 1 is not there this time',
    'still to place: Bao',
  ])
})

test('what only asks stays as it was formed', () => {
  const evening = tonight(FOUR, {
    roles: PAIRS,
    notReady: ['base Amara'],
    ask: { 'base Amara': 'a yes' },
    stop: { 'flyer Demba': 'no back bends' },
  })
  const formed = [
    group({ base: 'Amara', flyer: 'Bao' }),
    group({ base: 'Chidi', flyer: 'Demba' }),
  ]
  expect(sentences(leastChange(evening, formed)?.changes ?? [])).toEqual([
    'group 2: another base, Demba instead of Chidi',
    'group 2: another flyer, Chidi instead of Demba',
  ])
})

// -- somebody comes late, somebody leaves ----------------------------------------------------

test('the newest joins a line at the back', () => {
  const line = [group({ front: 'Amara', back: 'Bao' })]
  const found = latecomer(tonight('Amara Bao Chidi', { roles: LINE }), line, 'Chidi')
  expect(found.placed && seatsOf(found.groups)).toEqual([
    { front: 'Amara', middle: 'Bao', back: 'Chidi' },
  ])
})

test('two who wait are a new group; without a place it is said what would help', () => {
  const pair = [group({ partner: 'Amara Bao' })]
  const come = (names: string, late: string, told: object = {}) =>
    latecomer(tonight(names, { roles: LEAN, ...told }), pair, late)
  const found = come(FOUR, 'Demba')
  expect(found.placed && seatsOf(found.groups)).toEqual([
    { partner: 'Amara Bao' },
    { partner: 'Chidi Demba' },
  ])
  expect(found.placed && sentences(found.changes)).toEqual(['group 2 is new: Chidi and Demba'])
  expect(come('Amara Bao Chidi', 'Chidi')).toEqual({
    placed: false,
    sentence: 'Chidi: A turn with group 1 would work, while somebody there rests.',
  })
  expect(come(FOUR, 'Bao')).toEqual({ placed: false, sentence: 'Bao has a place already' })
  const away = { tonight: { here: ['Amara', 'Bao'] } }
  expect(come(FOUR, 'Demba', away)).toEqual({
    placed: false,
    sentence: 'Demba is not here for it tonight',
  })
  const stops = { table: { stops: [{ code: 'adults_in_room', sentence: 'no adult' }] } }
  expect(come(FOUR, 'Demba', stops)).toEqual({ placed: false, sentence: 'no adult' })
  const added = { tonight: { here: [...FOUR.split(' '), 'Zola'] } }
  expect(come(FOUR, 'Zola', added)).toEqual({
    placed: false,
    sentence: 'Zola: New on this phone: a teacher finds a place by hand.',
  })
})

test('nobody joins a locked group', () => {
  const evening = tonight('Amara Bao Chidi', { roles: { partner: [2, 3] } })
  const open = latecomer(evening, [group({ partner: 'Amara Bao' })], 'Chidi')
  expect(open.placed && seatsOf(open.groups)).toEqual([{ partner: 'Amara Bao Chidi' }])
  expect(latecomer(evening, [group({ partner: 'Amara Bao' }, true)], 'Chidi').placed).toBe(false)
})

test('one who waits takes the place of one who leaves', () => {
  const formed = [group({ base: 'Amara', flyer: 'Bao' })]
  const evening = tonight(FOUR, { roles: PAIRS, stop: { 'flyer Chidi': 'no back bends' } })
  const found = leaves(evening, formed, 'Bao')
  expect(seatsOf(found.groups)).toEqual([{ base: 'Amara', flyer: 'Demba' }])
  expect(sentences(found.changes)).toEqual(['group 1: another flyer, Demba instead of Bao'])
})

test('with nobody who waits the others close up, or stand as they are', () => {
  const line = [group({ front: 'Amara', middle: 'Bao', back: 'Chidi' })]
  const without = (student: string) => {
    const evening = tonight('Amara Bao Chidi', { roles: LINE })
    return seatsOf(leaves(evening, line, student).groups)
  }
  expect(without('Bao')).toEqual([{ front: 'Amara', back: 'Chidi' }])
  expect(without('Chidi')).toEqual([{ front: 'Amara', back: 'Bao' }])
  const pair = [group({ partner: 'Amara Bao' })]
  const found = leaves(tonight('Amara Bao', { roles: LEAN }), pair, 'Bao')
  expect([found.groups, sentences(found.changes)]).toEqual([
    [],
    ['group 1 is not there this time', 'still to place: Amara'],
  ])
})

test('a locked group is a teacher’s to change', () => {
  const pair = [group({ partner: 'Amara Bao' }, true)]
  const found = leaves(tonight('Amara Bao Chidi', { roles: LEAN }), pair, 'Bao')
  expect(found).toEqual({ groups: pair, changes: [] })
})

// -- by hand ---------------------------------------------------------------------------------

test('two in each other’s place, one of them perhaps without', () => {
  const pairs = [group({ base: 'Amara', flyer: 'Bao' }), group({ base: 'Chidi', flyer: 'Demba' })]
  expect(seatsOf(swapped(pairs, 'Amara', 'Demba'))).toEqual([
    { base: 'Demba', flyer: 'Bao' },
    { base: 'Chidi', flyer: 'Amara' },
  ])
  expect(seatsOf(swapped(pairs, 'Amara', 'Esra'))[0]).toEqual({ base: 'Esra', flyer: 'Bao' })
})

test('into a role of a group, into a new one, out of all; an empty group is gone', () => {
  const groups = [group({ partner: 'Amara' }), group({ partner: 'Bao Chidi' })]
  expect(seatsOf(moved(groups, 'Bao', { group: 0, role: 'partner' }))).toEqual([
    { partner: 'Amara Bao' },
    { partner: 'Chidi' },
  ])
  expect(seatsOf(moved(groups, 'Amara', { group: null, role: 'base' }))).toEqual([
    { partner: 'Bao Chidi' },
    { base: 'Amara' },
  ])
  expect(seatsOf(moved(groups, 'Amara', { group: null, role: null }))).toEqual([
    { partner: 'Bao Chidi' },
  ])
  expect(seatsOf(moved(groups, 'Amara', { group: 0, role: 'base' }))).toEqual([
    { base: 'Amara' },
    { partner: 'Bao Chidi' },
  ])
})
