import { expect, test } from 'vitest'
import { cmOf, typedOf } from './length'

test('a height is sent in centimetres, however it is typed', () => {
  expect(cmOf('124,5', 'metric')).toBe(124.5)
  expect(cmOf('49', 'imperial')).toBe(124.46)
  expect(cmOf('4 ft', 'imperial')).toBe('4 ft')
  expect(cmOf('', 'imperial')).toBeNull()
  expect([typedOf(124.46, 'imperial'), typedOf(124.46, 'metric')]).toEqual(['49', '124.5'])
})
