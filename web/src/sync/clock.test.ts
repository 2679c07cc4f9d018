import fc from 'fast-check'
import { expect, test } from 'vitest'
import { measured } from './clock'

const NOON = 'Tue, 01 Dec 2026 12:00:00 GMT'
const at = (ms: number) => Date.parse(NOON) + ms

test('a phone that tells the right time keeps an offset of nothing', () => {
  expect(measured(0, { sent_at: at(400), received_at: at(600), date: NOON })).toBe(0)
  expect(measured(0, { sent_at: at(990), received_at: at(1_300), date: NOON })).toBe(0)
})

test('what a whole second and the round trip can explain changes nothing', () => {
  expect(measured(-90, { sent_at: at(100), received_at: at(200), date: NOON })).toBe(-90)
  // Server time from 12:00:00.000 to 12:00:00.999 while the phone said …00.100 to …00.200.
  expect(measured(-201, { sent_at: at(100), received_at: at(200), date: NOON })).toBe(350)
  expect(measured(901, { sent_at: at(100), received_at: at(200), date: NOON })).toBe(350)
})

test('a clock that is wrong is told by how much, with half the round trip', () => {
  const late = -5_400_000
  const heard = { sent_at: at(late), received_at: at(late + 300), date: NOON }
  expect(measured(0, heard)).toBe(5_400_000 - 150 + 500)
})

test.each([null, '', 'yesterday'])('a date of %j measures nothing', (date) => {
  expect(measured(7, { sent_at: 0, received_at: 1, date })).toBe(7)
})

test('a clock that was put back while the answer came measures nothing', () => {
  expect(measured(7, { sent_at: at(10), received_at: at(0), date: NOON })).toBe(7)
})

test('it is never further off than half a second and half the round trip', () => {
  const ms = fc.integer({ min: 0, max: 10_000 })
  const offset = fc.integer({ min: -1e9, max: 1e9 })
  fc.assert(
    fc.property(ms, ms, ms, offset, offset, (before, there, back, really, known) => {
      const sent_at = at(before)
      const received_at = sent_at + there + back
      const said = sent_at + really + there
      const date = new Date(Math.floor(said / 1000) * 1000).toUTCString()
      const found = measured(known, { sent_at, received_at, date })
      const most = found === known ? 1_000 + there + back : 501 + (there + back) / 2
      expect(Math.abs(found - really)).toBeLessThanOrEqual(most)
    }),
  )
})
