import { expect, test } from 'vitest'
import { changes, figure, filled, given, namedIn, sameName } from './said'

test.each([
  ['0,8', 0.8],
  [' 12 ', 12],
  ['', null],
  ['  ', null],
  ['a dozen', 'a dozen'],
])('%j is sent as %j', (text, said) => {
  expect(figure(text)).toBe(said)
})

test('only what differs is sent', () => {
  const before = { role: 'teacher', studios: ['a', 'b'], until: null as string | null }
  expect(changes(before, { ...before, studios: ['a', 'b'], until: '2026-05-01' })).toEqual({
    until: '2026-05-01',
  })
  expect(changes({ ...before, until: '2026-05-01' }, before)).toEqual({ until: null })
})

test('what is not said is left out', () => {
  expect(given({ name: 'x', until: filled(' '), count: 0, flag: false })).toEqual({
    name: 'x',
    count: 0,
    flag: false,
  })
})

test('a name is the same whatever its case and spaces', () => {
  expect(sameName('  nell  q. ', 'Nell Q.')).toBe(true)
  expect(sameName('Nell', 'Nell Q.')).toBe(false)
  const rows = [{ name: 'Nell Q.' }, { name: 'Nell' }]
  expect([namedIn(rows, 'NELL'), namedIn(rows, '')]).toEqual([rows[1], null])
})
