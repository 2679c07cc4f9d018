import fc from 'fast-check'
import { expect, test } from 'vitest'
import type { Row } from '../store/row'
import * as sample from './sample'
import { child, entered, row } from './sample'
import { tonight, type Known, type Sheet } from './tonight'

function sheet(other: object = {}): Sheet {
  return sample.sheet({ children: [child('Amara'), child('Bao')], ...other })
}

function known(other: Partial<Known> = {}): Known {
  return { sheet: sheet(), read_at: 1000, tries: [], names: new Map(), rows: [], ...other }
}

function tried(attempt: string, revision: number, other: object = {}) {
  const body = { attempt, revision, student: 'Amara', skill_id: 'seat-id', outcome: 'clean' }
  const when = { happened_at: '2026-12-01T17:10:00Z', clock_offset_ms: 0 }
  return row('attempts', { ...body, ...when, ...other })
}

function refused(one: Row): Row {
  return { ...one, state: 'refused' }
}

function states(of: Known): [string, string][] {
  return tonight(of).children.map((one) => [one.name, one.state])
}

test('everybody is taken to be here until somebody says otherwise', () => {
  expect(states(known())).toEqual([
    ['Amara', 'here'],
    ['Bao', 'here'],
  ])
  const found = tonight(known({ rows: [entered('Bao', 'away')] }))
  expect(found.here.map((one) => one.name)).toEqual(['Amara'])
})

test('of two entries the greater revision counts, whichever phone it is from', () => {
  const told = sheet({ children: [child('Amara', { state: 'not_today', revision: 2 })] })
  expect(states(known({ sheet: told, rows: [entered('Amara', 'away', 2)] }))).toEqual([
    ['Amara', 'not_today'],
  ])
  expect(states(known({ sheet: told, rows: [entered('Amara', 'away', 3)] }))).toEqual([
    ['Amara', 'away'],
  ])
})

test('what the server has refused did not happen', () => {
  const rows = [entered('Bao', 'away'), tried('a', 1)].map(refused)
  const found = tonight(known({ rows }))
  expect(found.here).toHaveLength(2)
  expect(found.tries).toEqual([])
})

test('a child on trial is there at once, and once when the server tells of her too', () => {
  const rows = [
    row('students', { id: 'new', given_name: 'Aroha', initial: 'T' }),
    entered('new', 'here'),
  ]
  const names = tonight(known({ rows })).children.map((one) => [one.name, one.trial, one.revision])
  expect(names).toEqual([
    ['Amara', false, null],
    ['Aroha T', true, 1],
    ['Bao', false, null],
  ])
  const told = sheet({ children: [child('new', { name: 'Aroha', trial: true, revision: 1 })] })
  expect(tonight(known({ sheet: told, rows })).children.map((one) => one.name)).toEqual(['Aroha'])
})

test('a visitor has the name that the class lists know; one whom nobody knows is not shown', () => {
  const rows = [entered('z', 'here'), entered('nobody', 'here')]
  const found = tonight(known({ rows, names: new Map([['z', 'Zola']]) }))
  expect(found.children.map((one) => [one.name, one.visitor])).toEqual([
    ['Amara', false],
    ['Bao', false],
    ['Zola', true],
  ])
})

test('a correction stands for the try it corrects, and a removed try is gone', () => {
  const rows = [tried('a', 1), tried('a', 2, { outcome: 'shaky' }), tried('b', 1)]
  rows.push(tried('b', 2, { outcome: 'removed' }))
  const found = tonight(known({ rows }))
  expect(found.tries.map((one) => [one.attempt, one.outcome])).toEqual([['a', 'shaky']])
})

test('of two corrections with one revision the greater id counts, as on the server', () => {
  const mine = tried('a', 2, { id: 'bbb', outcome: 'shaky' })
  const hers = { ...tried('a', 2, { id: 'ccc', outcome: 'not_there' }).body }
  const tries = [hers] as unknown as Known['tries']
  expect(tonight(known({ rows: [mine], tries })).tries.map((one) => one.outcome)).toEqual([
    'not_there',
  ])
})

test('tries stand in the order of their moments by the server’s clock', () => {
  const rows = [
    tried('late', 1, { happened_at: '2026-12-01T17:00:00Z', clock_offset_ms: 3_600_000 }),
    tried('early', 1, { happened_at: '2026-12-01T17:10:00Z' }),
  ]
  expect(tonight(known({ rows })).tries.map((one) => one.attempt)).toEqual(['early', 'late'])
})

test('groups of this phone stand until a document has what the server answered', () => {
  const groups = [{ id: null, seats: { base: ['Amara'], flyer: ['Bao'] } }]
  const kept = (version: number) => sheet({ kept: [{ skill: 'seat', version }] })
  const mine = row('groups', { skill_id: 'seat-id', groups }, { state: 'stored', version: 3 })
  expect(tonight(known({ sheet: kept(2), rows: [mine] })).made.get('seat-id')?.groups).toEqual(groups)
  expect(tonight(known({ sheet: kept(3), rows: [mine] })).made.size).toBe(0)
})

test('what a teacher says counts at once, until a sheet is read that has it', () => {
  const rows = [
    row('lesson', { said: { mats: 3, note: 'socks off' } }),
    row('lesson', { said: { mats: 2, spotters: ['t'] } }),
    row('lesson', { said: { minutes: 60 } }, { state: 'stored', settled_at: 1000 }),
    row('lesson', { said: { surface: 'grass' } }, { state: 'stored', settled_at: 1001 }),
  ]
  const { lesson } = tonight(known({ rows, names: new Map([['t', 'Tendai R.']]) }))
  expect([lesson.mats, lesson.minutes, lesson.note]).toEqual([2, 45, 'socks off'])
  expect(lesson.surface).toBe('grass')
  expect(lesson.spotters).toEqual([{ id: 't', name: 'Tendai R.' }])
})

test('a fall closes the skill for her until a sheet is read that tells of it', () => {
  const fall = (more: object) => row('falls', { student: 'Bao', skill_id: 'seat-id' }, more)
  const closed = (more: object) => tonight(known({ rows: [fall(more)] })).closed.get('seat-id')
  expect(closed({})).toEqual(new Set(['Bao']))
  expect(closed({ state: 'stored', settled_at: 1001 })).toEqual(new Set(['Bao']))
  expect(closed({ state: 'stored', settled_at: 1000 })).toBe(undefined)
  expect(closed({ state: 'refused', settled_at: 1001 })).toBe(undefined)
})

test('adults who are free to spot are in the room, beside whoever is there otherwise', () => {
  const two = sheet({ lesson: sample.lesson(['Maya', 'Noa'], { adults_in_room: 4 }) })
  const room = (spotters: string[]) =>
    tonight(known({ sheet: two, rows: [row('lesson', { said: { spotters } })] })).lesson
  expect(room(['Maya', 'Noa', 'Pia']).adults_in_room).toBe(5)
  expect(room([]).adults_in_room).toBe(2)
  expect(tonight(known({ sheet: two })).lesson.adults_in_room).toBe(4)
})

test('the evening is the same in whatever order its rows are read', () => {
  const rows = [
    ...[1, 2, 3].map((revision) => entered('Bao', revision === 3 ? 'away' : 'here', revision)),
    ...[1, 2].flatMap((revision) => [tried('a', revision), tried('b', revision)]),
    row('lesson', { said: { mats: 3 } }),
    row('lesson', { said: { mats: 1 } }),
  ]
  const whole = tonight(known({ rows }))
  fc.assert(
    fc.property(fc.shuffledSubarray(rows, { minLength: rows.length }), (shuffled) => {
      expect(tonight(known({ rows: shuffled }))).toEqual(whole)
    }),
  )
})
