import { expect, test } from 'vitest'
import { soon, sorted, windows, type Lesson } from './lessons'

function lesson(on: string, other: Partial<Lesson> = {}, zone = 'Europe/Lisbon'): Lesson {
  return { id: on, on, closed: null, state: 'planned', studio: { zone }, ...other } as Lesson
}

const NOON = Date.parse('2026-12-01T12:00:00Z')

test('a week is asked for by its Monday, so that every day of it finds what was kept', () => {
  const [now, before] = windows('2026-12-06')
  expect(now).toBe('/api/v1/lessons?first=2026-11-23&last=2026-12-27')
  expect(before).toBe('/api/v1/lessons?first=2026-11-16&last=2026-12-20')
  expect(windows('2026-11-30')[0]).toBe(now)
  expect(windows('2026-12-07')[1]).toBe(now)
})

test('today’s lessons, and those of the next two weeks', () => {
  const days = ['2026-11-30', '2026-12-01', '2026-12-02', '2026-12-15', '2026-12-16']
  const { today, coming } = sorted(days.map((on) => lesson(on)), NOON)
  expect(today.map((one) => one.on)).toEqual(['2026-12-01'])
  expect(coming.map((one) => one.on)).toEqual(['2026-12-02', '2026-12-15'])
})

test('what took place in the last seven days, the latest first', () => {
  const days = ['2026-11-23', '2026-11-24', '2026-11-28', '2026-11-30', '2026-12-01']
  const rows = [...days.map((on) => lesson(on)), lesson('2026-11-30', { closed: 'storm' })]
  const { earlier } = sorted(rows, NOON)
  expect(earlier.map((one) => one.on)).toEqual(['2026-11-30', '2026-11-28', '2026-11-24'])
  expect(earlier.every((one) => one.closed === null)).toBe(true)
})

test('a day lasts until it is over at the studio, wherever the phone is', () => {
  const days = ['2026-11-30', '2026-12-01', '2026-12-02']
  const at = (hour: string, zone: string) => {
    const rows = days.map((on) => lesson(on, {}, zone))
    return sorted(rows, Date.parse(`2026-12-01T${hour}:00Z`)).today.map((one) => one.on)
  }
  expect(at('07:30', 'America/Los_Angeles')).toEqual(['2026-11-30'])
  expect(at('08:30', 'America/Los_Angeles')).toEqual(['2026-12-01'])
  expect(at('10:30', 'Pacific/Auckland')).toEqual(['2026-12-01'])
  expect(at('11:30', 'Pacific/Auckland')).toEqual(['2026-12-02'])
})

test('kept for no signal is what meets today and on the next day with a lesson', () => {
  const closed = lesson('2026-12-02', { closed: 'holidays' })
  const coming = [closed, lesson('2026-12-03'), lesson('2026-12-03', { id: 'b' }), lesson('2026-12-05')]
  const found = soon([lesson('2026-12-01'), lesson('2026-12-01', { state: 'cancelled' })], coming)
  expect(found.map((one) => one.id)).toEqual(['2026-12-01', '2026-12-03', 'b'])
})
