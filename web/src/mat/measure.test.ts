import fc from 'fast-check'
import { expect, test } from 'vitest'
import { card, plank } from '../lesson/sample'
import { isForAllAtOnce, numbers, outcomeOf, seconds } from './measure'

test.each([
  [0, 'not_there'],
  [9.9, 'not_there'],
  [10, 'shaky'],
  [19.9, 'shaky'],
  [20, 'clean'],
  [31, 'clean'],
])('%d s of 20 s is %s', (measured, outcome) => {
  expect(outcomeOf(measured, { figure: 20 })).toBe(outcome)
})

test('half of an odd figure is not rounded: 1 of 3 is not there, 2 of 3 is shaky', () => {
  expect(outcomeOf(1, { figure: 3 })).toBe('not_there')
  expect(outcomeOf(1.5, { figure: 3 })).toBe('shaky')
  expect(outcomeOf(2, { figure: 3 })).toBe('shaky')
})

test('a clock never shows more than has gone by', () => {
  expect(seconds(1000, 20_999)).toBe(19.9)
  expect(seconds(1000, 21_000)).toBe(20)
  expect(seconds(1000, 900)).toBe(0)
})

test('numbers to choose from stand under what they say', () => {
  expect(numbers({ unit: 'times', figure: 3 })).toEqual([
    { outcome: 'not_there', all: [0, 1] },
    { outcome: 'shaky', all: [2] },
    { outcome: 'clean', all: [3, 4, 5, 6, 7] },
  ])
  expect(numbers({ unit: 'times', figure: 1 }).map((one) => one.outcome)).toEqual([
    'not_there',
    'clean',
  ])
})

test('every number is under exactly one outcome, the one it maps to', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 40 }), (figure) => {
      const said = numbers({ unit: 'steps', figure })
      const all = said.flatMap((one) => one.all)
      expect(all).toEqual(all.map((_, at) => at))
      for (const { outcome, all } of said) {
        for (const number of all) expect(outcomeOf(number, { figure })).toBe(outcome)
      }
    }),
  )
})

test('a whole class holds at one time only what each does alone and nobody spots', () => {
  expect(isForAllAtOnce(plank)).toBe(true)
  expect(isForAllAtOnce({ ...plank, spotted: true })).toBe(false)
  expect(isForAllAtOnce(card({ spotted: false, lifted: false }))).toBe(false)
  expect(isForAllAtOnce({ ...plank, measure: { unit: 'steps', figure: 8 } })).toBe(false)
  expect(isForAllAtOnce({ ...plank, measure: null })).toBe(false)
})
