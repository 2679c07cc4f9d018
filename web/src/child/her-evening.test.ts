import { expect, test } from 'vitest'
import type { Card, Child, Tonight, Try } from '../lesson/tonight'
import { atHome, byFamily, doneBy, nextFor } from './her-evening'

function card(skill: string, other: object = {}): Card {
  return {
    skill,
    skill_id: `${skill}-id`,
    name: skill,
    family: 'Holding tight',
    lifted: false,
    spotted: false,
    alone: true,
    roles: [{ role: 'solo' }],
    at_home: `${skill} at home`,
    ...other,
  } as unknown as Card
}

const IN_TWOS = { alone: false, at_home: null, roles: [{ role: 'base' }, { role: 'flyer' }] }
const CARDS = [
  card('tight'),
  card('plank'),
  card('table'),
  card('roll'),
  card('bridge', { spotted: true, family: 'Back bends' }),
  card('rest', { ...IN_TWOS, spotted: true, family: 'Propped' }),
  card('seat', { ...IN_TWOS, spotted: true, lifted: true, family: 'Low lifts' }),
]

let count = 0
function tried(skill: string, other: Partial<Try> = {}): Try {
  const attempt = `try ${++count}`
  return {
    attempt,
    student: 'amara',
    skill_id: `${skill}-id`,
    role: 'solo',
    outcome: 'clean',
    spot: 'none',
    ...other,
  } as Try
}

function line(skill: string, other: object = {}) {
  return { skill, role: 'solo', ready: true, stopped: false, says: `says ${skill}`, ...other }
}

interface Told {
  tries?: Try[]
  skills?: object[]
  moves_on?: string[]
  at_home?: string[]
  fell?: string[]
  child?: object
}

function evening(told: Told = {}): { now: Tonight; child: Child } {
  const skills = told.skills ?? CARDS.map((one) => line(one.skill))
  const child = { id: 'amara', name: 'Amara', state: 'here', skills, ...told.child }
  const suggested = (told.moves_on ?? []).map((skill) => ({ skill, moves_on: ['amara'] }))
  const others = { skill: 'plank', moves_on: ['bao'] }
  const now = {
    cards: new Map(CARDS.map((one) => [one.skill, one])),
    tries: told.tries ?? [],
    closed: new Map((told.fell ?? []).map((skill) => [`${skill}-id`, new Set(['amara'])])),
    sheet: {
      children: [{ id: 'amara', at_home: told.at_home ?? [] }],
      suggestions: { groups: [others], alone: suggested },
    },
  }
  return { now, child } as unknown as { now: Tonight; child: Child }
}

function next(told: Told): string[] {
  const { now, child } = evening(told)
  return nextFor(now, child).map((one) => `${one.kind} ${one.card.skill}`)
}

function home(told: Told): string[] {
  const { now, child } = evening(told)
  return atHome(now, child).map((one) => one.skill)
}

// -- what she did ----------------------------------------------------------------------------

test('her tries by skill and role, in the order in which she began them', () => {
  const tries = [
    tried('rest', { role: 'flyer' }),
    tried('tight'),
    tried('plank', { student: 'bao' }),
    tried('rest', { role: 'base' }),
    tried('rest', { role: 'flyer', outcome: 'shaky' }),
    tried('unknown'),
  ]
  const done = doneBy(evening({ tries }).now, 'amara')
  expect(done.map((one) => [one.card.skill, one.role, one.tries])).toEqual([
    ['rest', 'flyer', [tries[0], tries[4]]],
    ['tight', null, [tries[1]]],
    ['rest', 'base', [tries[3]]],
  ])
})

// -- what comes next -------------------------------------------------------------------------

test('what is not clean yet, or not yet without hands, goes on', () => {
  const tries = [
    tried('tight'),
    tried('bridge', { spot: 'hands_near' }),
    tried('roll', { outcome: 'shaky' }),
  ]
  expect(next({ tries })).toEqual(['goes_on bridge', 'goes_on roll'])
  expect(next({ tries: [...tries, tried('roll'), tried('bridge')] })).toEqual([])
})

test('at most two go on, and what suits her soon follows', () => {
  const tries = ['tight', 'plank', 'table'].map((skill) => tried(skill, { outcome: 'not_there' }))
  const told = { tries, moves_on: ['table', 'roll', 'bridge', 'rest'] }
  expect(next(told)).toEqual(['goes_on tight', 'goes_on plank', 'begins roll'])
  expect(next({ ...told, tries: [] })).toEqual(['begins table', 'begins roll'])
})

test('no lift is promised, and nothing that rests or that she fell in', () => {
  expect(next({ moves_on: ['seat'], skills: [] })).toEqual([])
  const stopped = [line('roll', { stopped: true }), line('plank')]
  expect(next({ moves_on: ['seat', 'roll', 'plank'], skills: stopped })).toEqual(['begins plank'])
  expect(next({ moves_on: ['roll', 'plank'], fell: ['roll'] })).toEqual(['begins plank'])
  const shaky = [tried('roll', { outcome: 'shaky' })]
  expect(next({ tries: shaky, fell: ['roll'], skills: [] })).toEqual([])
})

test('a lift in which she was tonight may go on', () => {
  const tries = [tried('seat', { role: 'flyer', spot: 'hands_on' })]
  expect(next({ tries })).toEqual(['goes_on seat'])
})

test('with nothing begun and nothing suggested it is the first for which something is missing', () => {
  const skills = [
    line('tight'),
    line('seat', { ready: false }),
    line('roll', { ready: false, stopped: true }),
    line('rest', { ready: false, role: 'flyer', says: 'missing is the bridge' }),
    line('table', { ready: false }),
  ]
  const { now, child } = evening({ skills })
  expect(nextFor(now, child)).toEqual([
    { kind: 'on_the_way', card: CARDS[5], role: 'flyer', says: 'missing is the bridge' },
  ])
})

// -- at home ---------------------------------------------------------------------------------

test('what she has by the log, what she did of it tonight first, and three at most', () => {
  const at_home = ['tight', 'plank', 'table', 'roll']
  expect(home({ at_home })).toEqual(['tight', 'plank', 'table'])
  const tries = [tried('roll', { outcome: 'shaky' })]
  expect(home({ at_home, tries })).toEqual(['roll', 'tight', 'plank'])
})

test('what she was clean in tonight is hers too', () => {
  expect(home({ tries: [tried('roll')] })).toEqual(['roll'])
  expect(home({ tries: [tried('roll', { outcome: 'shaky' })] })).toEqual([])
  expect(home({ tries: [tried('roll'), tried('roll', { outcome: 'shaky' })] })).toEqual([])
})

test('nothing that is spotted or in twos, whatever she did', () => {
  expect(home({ tries: [tried('bridge'), tried('rest', { role: 'flyer' })] })).toEqual([])
})

test('nothing that rests, and nothing that she fell in', () => {
  const skills = [line('tight', { stopped: true }), line('plank')]
  expect(home({ at_home: ['tight', 'plank', 'roll'], skills, fell: ['roll'] })).toEqual(['plank'])
  expect(home({ at_home: ['plank'], child: { state: 'not_today' } })).toEqual([])
})

test('a child whom the server has not told of practises what she was clean in', () => {
  const { now } = evening({ tries: [tried('roll', { student: 'demba' })] })
  const demba = { id: 'demba', name: 'Demba', state: 'here', skills: [] } as unknown as Child
  expect(atHome(now, demba).map((one) => one.skill)).toEqual(['roll'])
})

// -- where she stands ------------------------------------------------------------------------

test('all her lines by family, a role where the card has several', () => {
  const skills = [line('tight'), line('rest', { role: 'base' }), line('plank'), line('gone')]
  const { now, child } = evening({ skills })
  expect(
    byFamily(now, child).map(({ family, lines }) => [
      family,
      lines.map((one) => [one.card.skill, one.role, one.says]),
    ]),
  ).toEqual([
    [
      'Holding tight',
      [
        ['tight', null, 'says tight'],
        ['plank', null, 'says plank'],
      ],
    ],
    ['Propped', [['rest', 'base', 'says rest']]],
  ])
})
