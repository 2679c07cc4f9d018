import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { Stopwatch } from './stopwatch.svelte'

beforeEach(() => vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance'] }))
afterEach(() => vi.useRealTimers())

test('it counts between two taps by their own times, however rarely it is shown', () => {
  const watch = new Stopwatch()
  expect([watch.running, watch.from, watch.until]).toEqual([false, null, 0])
  watch.go(5000)
  expect([watch.running, watch.until]).toEqual([true, 5000])
  watch.stop(27_400)
  expect([watch.running, watch.from, watch.until]).toEqual([false, 5000, 27_400])
})

test('it shows what has gone by, also after a while in which nobody looked', () => {
  const watch = new Stopwatch()
  watch.go(performance.now())
  const from = watch.until
  vi.advanceTimersByTime(12_000)
  expect(watch.until - from).toBe(12_000)
  watch.stop(performance.now())
  expect(vi.getTimerCount()).toBe(0)
})

test('a thumb that taps twice starts it, and does not stop it', () => {
  const watch = new Stopwatch()
  watch.go(1000)
  watch.stop(1299)
  expect([watch.running, watch.from]).toEqual([true, 1000])
  watch.stop(1300)
  expect([watch.running, watch.until]).toEqual([false, 1300])
  watch.go(5000)
  watch.stop(5100)
  expect(watch.running).toBe(true)
  watch.close()
})

test('it can go once more', () => {
  const watch = new Stopwatch()
  watch.go(1000)
  watch.stop(2000)
  watch.go(9000)
  expect([watch.running, watch.from, watch.until]).toEqual([true, 9000, 9000])
  watch.close()
  expect(vi.getTimerCount()).toBe(0)
})
