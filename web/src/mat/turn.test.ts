import { expect, test } from 'vitest'
import { child, tried } from '../lesson/sample'
import { isEcho, joined, turned } from './turn'
import type { Unit } from './units'

function unit(...names: string[]): Unit {
  const seats = names.map((name) => ({ child: child(name), role: 'solo' as const }))
  const rest = { group: null, spot: 'none' as const, missing: [], helpers: [], bars: [] }
  return { key: names.join('+'), seats, ...rest }
}

const LINE = [unit('Amara'), unit('Bao'), unit('Demba')]
const HERE = ['Amara', 'Bao', 'Demba']
const AT_FIRST = joined(null, HERE, 0)

function order(...args: Parameters<typeof turned>): string[] {
  return turned(...args).map((one) => one.key)
}

test('who has just tried goes to the end', () => {
  expect(order(LINE, [], AT_FIRST)).toEqual(['Amara', 'Bao', 'Demba'])
  expect(order(LINE, [tried('Amara')], AT_FIRST)).toEqual(['Bao', 'Demba', 'Amara'])
  expect(order(LINE, [tried('Amara'), tried('Demba')], AT_FIRST)).toEqual(['Bao', 'Amara', 'Demba'])
  const round = [tried('Amara'), tried('Bao'), tried('Demba'), tried('Amara')]
  expect(order(LINE, round, AT_FIRST)).toEqual(['Bao', 'Demba', 'Amara'])
})

test('a group goes to the end with whoever of it was up last', () => {
  const groups = [unit('Amara', 'Bao'), unit('Demba', 'Hana')]
  expect(order(groups, [tried('Bao')], AT_FIRST)).toEqual(['Demba+Hana', 'Amara+Bao'])
})

test('a latecomer joins the end, and is in turn from then on', () => {
  const tries = [tried('Amara'), tried('Bao')]
  const later = joined(AT_FIRST, [...HERE, 'Hana'], tries.length)
  const line = [...LINE, unit('Hana')]
  expect(order(line, tries, later)).toEqual(['Demba', 'Amara', 'Bao', 'Hana'])
  const more = [...tries, tried('Demba'), tried('Amara')]
  expect(order(line, more, joined(later, [...HERE, 'Hana'], more.length))).toEqual([
    'Bao',
    'Hana',
    'Demba',
    'Amara',
  ])
})

test('who went away and is back joins the end too', () => {
  const tries = [tried('Bao'), tried('Demba')]
  const gone = joined(AT_FIRST, ['Bao', 'Demba'], 1)
  expect(order(LINE, tries, joined(gone, HERE, 2))).toEqual(['Bao', 'Demba', 'Amara'])
})

test('a second touch of the same finger does not count for the row that came under it', () => {
  const first = { key: 'Amara', at: 1000, x: 200, y: 300 }
  expect(isEcho(first, { key: 'Bao', at: 1200, x: 204, y: 303 })).toBe(true)
  expect(isEcho(first, { key: 'Bao', at: 1300, x: 204, y: 303 })).toBe(false)
  expect(isEcho(first, { key: 'Bao', at: 1200, x: 200, y: 356 })).toBe(false)
  expect(isEcho(first, { key: 'Amara', at: 1200, x: 204, y: 303 })).toBe(false)
  expect(isEcho(null, first)).toBe(false)
})
