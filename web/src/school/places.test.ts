import { expect, test } from 'vitest'
import { changes } from '../desk/said'
import { dayFields, daySaid, parted, studioFields, studioSaid, type Closure, type Studio } from './places'

const MILL: Studio = { id: '1', name: 'Mill', zone: 'Europe/Lisbon', units: 'imperial', mats: 0 }
const FAIR: Closure = { id: '2', name: 'Fair', first: '2026-05-01', last: '2026-05-03', studio: null }

test('an untouched form changes nothing', () => {
  expect(studioSaid(studioFields(MILL, ''))).toEqual({
    name: 'Mill',
    zone: 'Europe/Lisbon',
    units: 'imperial',
    mats: 0,
  })
  const before = daySaid(dayFields(FAIR), true)
  expect(changes(before, daySaid(dayFields(FAIR), true))).toEqual({})
  expect(before).toEqual({ name: 'Fair', first: '2026-05-01', last: '2026-05-03', studio: null })
})

test('a closure of one day needs one day, a term two, and a term is nowhere', () => {
  const fields = { ...dayFields(null), name: 'x', first: '2026-05-01', studio: 'a' }
  expect(daySaid(fields, true)).toMatchObject({ last: '2026-05-01', studio: 'a' })
  expect(daySaid(fields, false)).toEqual({ name: 'x', first: '2026-05-01', last: null })
})

test('what ends today is not over', () => {
  const rows = ['2026-04-30', '2026-05-01', '2026-05-02', '2026-05-09'].map((last) => ({ last }))
  expect(parted(rows, '2026-05-02')).toEqual([rows.slice(2), [rows[1], rows[0]]])
})
