import { expect, test } from 'vitest'
import { atDesk } from '../words/at-desk'
import { actsOf, faultOf, standing, stepsOf, type Place, type PlaceFields } from './place'

const PLACE: Place = {
  id: 'p',
  class: 'k',
  class_name: 'Tuesday',
  from: '2026-01-10',
  until: null,
  trial: false,
}
const FIELDS: PlaceFields = { act: 'leave', until: '2026-05-01', from: '2026-05-02', klass: 'other' }

test('to leave sets the last day, and none opens the place again', () => {
  const last = (until: string) => stepsOf(PLACE, { ...FIELDS, until })
  expect(last('2026-05-01')).toEqual([
    { method: 'PATCH', path: 'places/p', body: { until: '2026-05-01' } },
  ])
  expect(last('')[0]!.body).toEqual({ until: null })
})

test('to move begins there before it ends here, on the day before', () => {
  expect(stepsOf(PLACE, { ...FIELDS, act: 'move' })).toEqual([
    { method: 'POST', path: 'places', body: { class: 'other', from: '2026-05-02', trial: false } },
    { method: 'PATCH', path: 'places/p', body: { until: '2026-05-01' } },
  ])
  const ended = { ...PLACE, until: '2026-04-30' }
  expect(stepsOf(ended, { ...FIELDS, act: 'move' })).toHaveLength(1)
})

test('a trial becomes a place in the same class', () => {
  const trial = { ...PLACE, trial: true }
  expect(actsOf(trial)[0]).toBe('stay')
  expect(stepsOf(trial, { ...FIELDS, act: 'stay' })).toEqual([
    { method: 'POST', path: 'places', body: { class: 'k', from: '2026-05-02', trial: false } },
  ])
  expect(actsOf(PLACE)).not.toContain('stay')
})

test('nobody moves before she came, or leaves on no day', () => {
  const said = atDesk.record
  const move = { ...FIELDS, act: 'move' as const }
  expect(faultOf(PLACE, { ...move, from: PLACE.from })).toBe(said.firstNotLater)
  expect(faultOf(PLACE, { ...move, from: '2026-01-11' })).toBeNull()
  expect(faultOf(PLACE, { ...FIELDS, until: '' })).toBe(said.lastDayMissing)
  // That opens it again.
  expect(faultOf({ ...PLACE, until: '2026-05-01' }, { ...FIELDS, until: '' })).toBeNull()
})

test('a place whose last day is today is not over', () => {
  const rows = [PLACE, { ...PLACE, until: '2026-05-01' }, { ...PLACE, until: '2026-04-30' }]
  expect(standing(rows, '2026-05-01')).toEqual([rows.slice(0, 2), rows.slice(2)])
})
