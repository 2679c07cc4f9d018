import { expect, test } from 'vitest'
import * as sample from '../../lesson/sample'
import { propose } from '../../regroup'
import type { Row } from '../../store/row'
import { askedOf } from '../asked'
import { versionNow, viewOf } from '../view'
import { AROUND, entered, evening, group, groups, row, SEAT, who } from './evening'

const ASK = { code: 'yes', sentence: 'a teacher’s yes', students: ['Bao'], role: 'flyer' }
const KEPT = groups(
  'seat',
  [
    group({ base: ['Amara'], flyer: ['Bao'] }, { id: 'g1', asks: [ASK], spotters: ['Maya'] }),
    group({ base: ['Cli'], flyer: ['Demba'] }, { number: 2, id: 'g2', locked: true }),
  ],
  {
    version: 4,
    still_to_place: [
      {
        student: who('Esme'),
        reason: 'no_mat',
        sentence: 'A free mat would help.',
        alternative: { skill: 'lean', sentence: 'goes on with facing lean', placed: false },
      },
    ],
  },
)
const sheet = { kept: [KEPT] }

test('of an evening as the server knows it its own words stand', () => {
  const view = viewOf(evening({ sheet }), SEAT, AROUND, [])!
  expect(view).toMatchObject({ source: 'kept', checked: true, conflict: null })
  expect(view.groups.map((one) => [one.number, one.id, one.locked, one.spot])).toEqual([
    [1, 'g1', null, 'hands_near'],
    [2, 'g2', 'everywhere', 'hands_near'],
  ])
  expect(view.groups[0]?.asks).toEqual([ASK])
  expect(view.still_to_place).toEqual([
    {
      student: who('Esme'),
      sentence: 'A free mat would help.',
      alternative: 'goes on with facing lean',
    },
  ])
})

test('once somebody is away the phone looks for itself', () => {
  const view = viewOf(evening({ sheet, rows: [entered('Bao', 'away')] }), SEAT, AROUND, [])!
  expect(view.groups[0]?.stops.map((one) => one.code)).toEqual(['not_here'])
  expect(view.groups[0]?.seats[1]?.students).toEqual([{ id: 'Bao', name: 'Bao', gone: true }])
  expect(view.groups[1]?.stops).toEqual([])
  expect(view.source).toBe('kept')
})

test('who fell in it on this phone is stopped in it, in groups as in a proposal', () => {
  const fall = sample.row('falls', { student: 'Bao', skill_id: 'seat-id' })
  const view = viewOf(evening({ sheet, rows: [fall] }), SEAT, AROUND, [])!
  expect(view.groups.map((one) => one.stops.map((stop) => stop.sentence))).toEqual([
    ['Bao: a teacher looks at it first'],
    [],
  ])
  const { groups } = propose(askedOf(evening({ rows: [fall] }), SEAT, AROUND)!)
  expect(groups.length).toBe(2)
  expect(groups.flatMap(({ seats }) => Object.values(seats).flat())).not.toContain('Bao')
  const elsewhere = sample.row('falls', { student: 'Bao', skill_id: 'lean-id' })
  const free = viewOf(evening({ sheet, rows: [elsewhere] }), SEAT, AROUND, [])!
  expect(free.groups.flatMap((one) => one.stops)).toEqual([])
})

test('groups of this phone are checked here', () => {
  const seats = [{ base: ['Demba'], flyer: ['Cli'] }]
  const view = viewOf(evening({ sheet, rows: [row(seats, {}, 4)] }), SEAT, AROUND, [])!
  expect(view).toMatchObject({ source: 'made', checked: true })
  expect(view.still_to_place.map((one) => one.student.name)).toEqual(['Amara', 'Bao', 'Esme'])
})

test('a change is based on what was seen: kept, made here, or answered to what was made', () => {
  const seats = [{ base: ['Demba'], flyer: ['Cli'] }]
  const version = (rows: Row[], of: object = sheet) =>
    versionNow(evening({ sheet: of, rows }), 'seat', null)
  expect(version([], {})).toBe(0)
  expect(version([])).toBe(4)
  expect(version([row(seats, {}, 4)])).toBe(4)
  expect(version([row(seats, {}, null)])).toBe(4)
  expect(version([row(seats, { state: 'stored', version: 5 }, 4)])).toBe(5)
  const asked = groups('seat', [], { version: 3 })
  expect(versionNow(evening(), 'seat', asked)).toBe(3)
})

test('with no table nothing is said to stop or ask', () => {
  const rows = [row([{ base: ['Demba'], flyer: ['Cli'] }])]
  const around = { ...AROUND, table: null }
  const view = viewOf(evening({ rows }), SEAT, around, [])!
  expect(view.checked).toBe(false)
  expect(view.groups[0]?.stops).toEqual([])
  expect(view.still_to_place.map((one) => one.student.name)).toEqual(['Amara', 'Bao', 'Esme'])
})

test('a lock of this phone holds while the same children hold the same roles', () => {
  const locks = ['base Cli, flyer Demba']
  const stands = evening({ rows: [row([{ base: ['Cli'], flyer: ['Demba'] }])] })
  expect(viewOf(stands, SEAT, AROUND, locks)?.groups[0]?.locked).toBe('here')
  const changed = evening({ rows: [row([{ base: ['Demba'], flyer: ['Cli'] }])] })
  expect(viewOf(changed, SEAT, AROUND, locks)?.groups[0]?.locked).toBe(null)
})

test('names stand as a class list is read out, and of one who has left no name', () => {
  const rows = [row([{ base: ['gone', 'Demba', 'Amara'], flyer: ['Bao'] }])]
  const [one] = viewOf(evening({ rows }), SEAT, AROUND, [])!.groups
  expect(one?.seats[0]?.students.map((student) => student.name)).toEqual([
    'Amara',
    'Demba',
    'somebody who has left the class',
  ])
})

test('what was proposed just now is shown where nobody has groups', () => {
  const asked = groups('seat', [group({ base: ['Amara'], flyer: ['Bao'] })])
  expect(viewOf(evening(), SEAT, AROUND, [])).toBe(null)
  expect(viewOf(evening(), SEAT, AROUND, [], asked)?.source).toBe('proposed')
})

test('for a child still to place another hold is named in which she has a place', () => {
  const lean = groups('lean', [group({ partner: ['Esme', 'Bao'] }, { id: 'g3' })], { version: 1 })
  const view = viewOf(evening({ sheet: { kept: [KEPT, lean] } }), SEAT, AROUND, [])!
  expect(view.still_to_place[0]?.alternative).toBe('has a place in facing lean')
})
