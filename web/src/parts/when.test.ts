import { expect, test } from 'vitest'
import { clockTime, daysAfter, localDate, shortDate, weekdayDate } from './when'

test('a moment is told in the studio’s zone', () => {
  expect(clockTime('2026-12-01T23:30:00Z', 'Pacific/Auckland')).toBe('12:30')
  expect(clockTime('2026-06-30T22:15:00Z', 'Europe/Lisbon')).toBe('23:15')
  expect(clockTime('2026-06-30T23:05:00Z', 'Europe/Lisbon')).toBe('00:05')
})

test('a date is told as it is, wherever the phone is', () => {
  expect(weekdayDate('2026-12-01')).toBe('Tuesday 1 December')
  expect(shortDate('2027-05-03')).toBe('3 May')
})

test('the local date of a moment may be another day than in UTC', () => {
  const moment = Date.parse('2026-12-01T23:30:00Z')
  expect(localDate(moment, 'UTC')).toBe('2026-12-01')
  expect(localDate(moment, 'Pacific/Auckland')).toBe('2026-12-02')
})

test('days are counted over months, years and clock changes', () => {
  expect(daysAfter('2026-12-25', 14)).toBe('2027-01-08')
  expect(daysAfter('2026-03-28', 2)).toBe('2026-03-30')
  expect(daysAfter('2028-03-01', -1)).toBe('2028-02-29')
})
