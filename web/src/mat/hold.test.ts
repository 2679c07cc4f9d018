import { expect, test } from 'vitest'
import { held, touched } from './hold'

test('a tap brings her down, a second one up again', () => {
  const down = touched(new Map(), 'Amara', 6000)
  expect([...down]).toEqual([['Amara', 6000]])
  expect([...touched(down, 'Bao', 7000)]).toEqual([
    ['Amara', 6000],
    ['Bao', 7000],
  ])
  expect([...touched(down, 'Amara', 8000)]).toEqual([])
})

const DOWN = new Map([
  ['Amara', 6540],
  ['Bao', 26_000],
])

test('whoever is still up has held as long as the card asks', () => {
  expect([...held(['Amara', 'Bao', 'Demba'], DOWN, 1000, 27_000, 20)]).toEqual([
    ['Amara', 5.5],
    ['Bao', 25],
    ['Demba', 20],
  ])
})

test('or until the end where that is sooner; who is not in it is left out', () => {
  expect([...held(['Demba'], DOWN, 1000, 13_300, 20)]).toEqual([['Demba', 12.3]])
})
