import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { expect, test } from 'vitest'
import { figure } from '../desk/said'
import {
  at,
  differing,
  moved,
  pointer,
  put,
  renamed,
  same,
  sides,
  type Doc,
  type Path,
} from './card'

const { load } = createRequire(import.meta.url)('js-yaml') as { load: (text: string) => unknown }
const DEMO = load(readFileSync('../demo/curriculum.yaml', 'utf8')) as {
  skills: Record<string, Doc>
}
const CARDS = Object.entries(DEMO.skills)

/** Every place of a card where a text, a figure or a yes or no stands. */
function leaves(value: unknown, path: Path = []): Path[] {
  if (typeof value !== 'object' || value === null) return [path]
  return Object.entries(value).flatMap(([key, part]) =>
    leaves(part, [...path, Array.isArray(value) ? Number(key) : key]),
  )
}

test('every card of the demo comes out of its form as it went in', () => {
  expect(CARDS.length).toBe(79)
  for (const [key, card] of CARDS) {
    const others = leaves(card).filter((path) => {
      const value = at(card, path)
      const shown = typeof value === 'number' ? figure(String(value)) : value
      return put(card, path, shown) !== card
    })
    expect(others, key).toEqual([])
  }
})

test('only what is touched changes', () => {
  for (const [key, card] of CARDS) {
    const before = JSON.stringify(card)
    const wrong = leaves(card).filter((path) => {
      const now = put(card, path, 'another')
      const back = put(now, path, at(card, path))
      const kept = Object.keys(card).filter((part) => now[part] === card[part])
      return (
        at(now, path) !== 'another' ||
        kept.length !== Object.keys(card).length - 1 ||
        differing(card, now).join() !== path[0] ||
        JSON.stringify(back) !== before
      )
    })
    expect(wrong, key).toEqual([])
    expect(JSON.stringify(card)).toBe(before)
  }
})

const SMALL: Doc = {
  name: 'Seat',
  roles: { flyer: { needs: { skill: 'plank', help: 'no_spot' } } },
  steps: ['a', 'b'],
  spot: { stands: 'beside' },
  ways_in: [{ key: 'k', name: 'n', needs: { flyer: { skill: 'x', help: 'no_spot' } } }],
}

test.each<[Path, unknown, Doc]>([
  [['steps', 0], undefined, { ...SMALL, steps: ['b'] }],
  [['steps', 2], 'c', { ...SMALL, steps: ['a', 'b', 'c'] }],
  [['cues', 0], '', { ...SMALL, cues: [''] }],
  [['measure', 'unit'], 's', { ...SMALL, measure: { unit: 's' } }],
  [['roles', 'base'], {}, { ...SMALL, roles: { ...(SMALL.roles as Doc), base: {} } }],
  [['roles', 'flyer', 'needs'], undefined, { ...SMALL, roles: { flyer: {} } }],
  [['ways_in', 0, 'needs', 'flyer'], undefined, { ...SMALL, ways_in: [{ key: 'k', name: 'n' }] }],
  [['caution'], undefined, SMALL],
])('%j is written as %j', (path, value, now) => {
  expect(put(SMALL, path, value)).toEqual(now)
})

test('what says nothing any more is taken out whole', () => {
  expect(put(SMALL, ['spot', 'stands'], undefined)).not.toHaveProperty('spot')
  const one = put(SMALL, ['steps', 0], undefined)
  expect(put(one, ['steps', 0], undefined)).not.toHaveProperty('steps')
})

test('a row goes up, the first one stays', () => {
  expect(at(moved(SMALL, ['steps'], 1), ['steps'])).toEqual(['b', 'a'])
  expect(moved(SMALL, ['steps'], 0)).toBe(SMALL)
})

test('the order of members says nothing, that of a list does', () => {
  expect(same({ a: 1, b: [1, 2] }, { b: [1, 2], a: 1 })).toBe(true)
  expect(same({ b: [1, 2] }, { b: [2, 1] })).toBe(false)
  expect(same({ a: undefined }, { b: undefined })).toBe(false)
  expect(pointer(['roles', 'base', 'loads', 0])).toBe('/roles/base/loads/0')
})

test.each([
  ['30', 30],
  ['-20 / 60,5', [-20, 60.5]],
  ['20 /', '20 /'],
  ['1/2/3', '1/2/3'],
  [' ', undefined],
])('an angle written %j is %j', (text, value) => {
  expect(sides(text)).toEqual(value)
})

test('a member keeps its place under another name', () => {
  expect(Object.entries(renamed({ hands: 'floor', toes: 'box' }, 'hands', 'feet'))).toEqual([
    ['feet', 'floor'],
    ['toes', 'box'],
  ])
})
