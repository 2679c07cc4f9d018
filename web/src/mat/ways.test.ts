import { expect, test } from 'vitest'
import { card, child, evening, line, proposed } from '../lesson/sample'
import { unitsOf } from './units'
import { wayToBegin } from './ways'

const WAYS = [
  { key: 'jump', name: 'jump', spot: null, needs: [] },
  { key: 'step', name: 'step', spot: null, needs: [] },
]

function begins(without: string[], ways = WAYS) {
  const bao = child('Bao', { skills: [line('seat', 'flyer', { without })] })
  const lift = card({ ways_in: ways })
  const now = evening({
    children: [child('Amara'), bao],
    cards: [lift],
    proposed: proposed({ base: ['Amara'], flyer: ['Bao'] }),
  })
  return wayToBegin(lift, 'ways_in', unitsOf(now, lift, null))
}

test('a station begins with the first way for which nobody misses anything', () => {
  expect(begins([])).toBe('jump')
  expect(begins(['jump'])).toBe('step')
})

test('where something is missing for each it is the card’s first', () => {
  expect(begins(['jump', 'step'])).toBe('jump')
})

test('a card without ways begins with none', () => {
  expect(begins([], [])).toBeNull()
})
