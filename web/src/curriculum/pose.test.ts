import { expect, test } from 'vitest'
import { figureNames, figureSaid, onto, pointSaid, REACHING, RESTING, targetOf } from './pose'

test('the second of a role has a number', () => {
  const figures = [{ role: 'base' }, { role: 'flyer' }, { role: 'base' }]
  expect(figureNames(figures)).toEqual(['base', 'flyer', 'base_2'])
  expect(['base', 'base_2'].map(figureSaid)).toEqual(['base', 'base 2'])
  expect(figureNames(undefined)).toEqual([])
})

test.each([
  ['floor', 'base', 'base.hips'],
  ['base.thighs', 'base_2', 'base_2.thighs'],
  ['base.thighs', 'box', 'box'],
])('what is on %j, then on %j, is on %j', (written, on, then) => {
  expect(onto(written, on)).toBe(then)
})

test('what is on a figure is on a point of it', () => {
  expect(targetOf('base_2.thighs')).toEqual({ on: 'base_2', point: 'thighs' })
  expect(targetOf('floor')).toEqual({ on: 'floor', point: '' })
})

test('every point has its words', () => {
  const said = [...RESTING, ...REACHING].map(pointSaid)
  expect(said.filter((text) => text.includes('_'))).toEqual([])
  expect(new Set(said).size).toBe(RESTING.length)
})
