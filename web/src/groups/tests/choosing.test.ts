import { expect, test } from 'vitest'
import {
  begun,
  formedBy,
  nextGroup,
  placesIn,
  put,
  sizesOf,
  takenOut,
  toPlace,
  type Size,
} from '../choosing'
import { LEAN, SEAT, table } from './evening'

const PAIRS: Size[] = [
  { role: 'base', min: 1, max: 1 },
  { role: 'flyer', min: 1, max: 1 },
]
const RING: Size[] = [{ role: 'partner', min: 3, max: 6 }]

function tapped(sizes: readonly Size[], ...names: string[]) {
  return names.reduce((choosing, name) => put(choosing, sizes, name), begun(sizes))
}
const seats = (choosing: ReturnType<typeof begun>) => formedBy(choosing).map((one) => one.seats)

test('names go into one place after another, group by group', () => {
  const choosing = tapped(PAIRS, 'a', 'b', 'c')
  expect(seats(choosing)).toEqual([{ base: ['a'], flyer: ['b'] }, { base: ['c'] }])
  expect(choosing.at).toEqual({ group: 1, role: 'flyer' })
})

test('a group that may be larger is left by hand', () => {
  const four = tapped(RING, 'a', 'b', 'c', 'd')
  expect(four.at).toEqual({ group: 0, role: 'partner' })
  const next = put(nextGroup(four, RING), RING, 'e')
  expect(seats(next)).toEqual([{ partner: ['a', 'b', 'c', 'd'] }, { partner: ['e'] }])
  expect(tapped(RING, 'a', 'b', 'c', 'd', 'e', 'f').at.group).toBe(1)
})

test('whoever is taken out may be put elsewhere, and is never in two places', () => {
  const out = takenOut(tapped(PAIRS, 'a', 'b'), 'a')
  expect(seats(out)).toEqual([{ flyer: ['b'] }])
  const back = put(toPlace(out, 0, 'base'), PAIRS, 'b')
  expect(seats(back)).toEqual([{ base: ['b'] }])
  expect(back.at).toEqual({ group: 0, role: 'flyer' })
})

test('everybody who is placed is known by her place', () => {
  expect([...placesIn(tapped(PAIRS, 'a', 'b', 'c'))]).toEqual([
    ['a', { group: 0, role: 'base' }],
    ['b', { group: 0, role: 'flyer' }],
    ['c', { group: 1, role: 'base' }],
  ])
})

test('an empty group is used before a new one is begun', () => {
  const twice = nextGroup(nextGroup(tapped(PAIRS, 'a'), PAIRS), PAIRS)
  expect(twice.groups).toHaveLength(2)
  expect(twice.at).toEqual({ group: 1, role: 'base' })
})

test('roles are those that children hold, as large as the card allows', () => {
  expect(sizesOf(SEAT, null).map((one) => one.role)).toEqual(['base', 'flyer'])
  expect(sizesOf(LEAN, null).map((one) => one.role)).toEqual(['partner'])
  const helped = table({
    roles: ['base', 'flyer', 'spotter'].map((role) => ({ role, min: 1, max: 1, children: [] })),
  } as never)
  expect(sizesOf(SEAT, helped).map((one) => one.role)).toEqual(['base', 'flyer', 'spotter'])
})
