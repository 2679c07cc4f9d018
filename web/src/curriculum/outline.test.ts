import { expect, test } from 'vitest'
import { keyOf } from './key'
import { onto, shifted, type Outline } from './outline'

test('a row goes up or down, at an end it stays', () => {
  expect(shifted(['a', 'b', 'c'], 1)).toEqual(['b', 'a', 'c'])
  expect(shifted(['a', 'b', 'c'], 1, -1)).toEqual(['a', 'c', 'b'])
  expect([shifted(['a', 'b'], 0), shifted(['a', 'b'], 1, -1)]).toEqual([
    ['a', 'b'],
    ['a', 'b'],
  ])
})

test('what is written is laid onto the cards that stand by now', () => {
  const outline = { name: 'mine', note: '', families: [], successions: [] }
  const mine: Outline = { ...outline, skills: ['c', 'gone', 'a'] }
  const stands: Outline = { ...outline, name: 'other', skills: ['a', 'b', 'c'] }
  expect(onto(mine, stands, mine)).toEqual({ ...outline, skills: ['c', 'a', 'b'] })
})

test('of what carries on what each keeps what she changed', () => {
  const carrying = (...pairs: string[]): Outline => ({
    name: 'x',
    note: '',
    families: [],
    skills: [],
    successions: pairs.map((pair) => ({ from_key: pair[0]!, to_key: pair[1]! })),
  })
  const read = carrying('ab', 'cd')
  const found = onto(carrying('ab', 'gh', 'ij'), carrying('ab', 'cd', 'ef', 'ij'), read)
  expect(found).toEqual(carrying('ab', 'ef', 'ij', 'gh'))
})

test.each([
  ['Seat on a table', 'seat_on_a_table'],
  ['  2 Élan! ', 'elan'],
  ['…', ''],
])('%j has the key %j', (name, key) => {
  expect(keyOf(name)).toBe(key)
})
