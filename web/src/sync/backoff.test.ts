import { expect, test } from 'vitest'
import { delay_ms } from './backoff'

test('the wait doubles from two seconds up to five minutes', () => {
  const waits = [0, 1, 2, 7, 8, 50].map((failures) => delay_ms(failures, 1))
  expect(waits).toEqual([2_000, 4_000, 8_000, 256_000, 300_000, 300_000])
})

test('chance takes off up to half of it', () => {
  expect([0, 0.5, 1].map((chance) => delay_ms(1, chance))).toEqual([2_000, 3_000, 4_000])
})
