import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { locked } from './tabs'

/** A lock that is given when a test says, unless nobody waits for it any more. */
let give: () => void

beforeEach(() => {
  vi.spyOn(AbortSignal, 'timeout').mockImplementation((ms) => {
    const late = new AbortController()
    setTimeout(() => late.abort(new DOMException('late', 'TimeoutError')), ms)
    return late.signal
  })
  const request = (_name: string, { signal }: LockOptions, run: () => Promise<unknown>) =>
    new Promise((resolve, reject) => {
      give = () => resolve(run())
      signal!.addEventListener('abort', () => reject(signal!.reason as Error))
    })
  vi.stubGlobal('navigator', { locks: { request } })
  vi.useFakeTimers()
})
afterEach(() => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
  vi.restoreAllMocks()
})

test('what another tab sends is waited for', async () => {
  const run = vi.fn(async () => 'sent')
  const sending = locked('maya', run)
  await vi.advanceTimersByTimeAsync(30_000)
  expect(run).not.toHaveBeenCalled()
  give()
  expect(await sending).toBe('sent')
  expect(run).toHaveBeenCalledTimes(1)
})

test('a tab that sleeps with the lock does not keep another from sending for ever', async () => {
  const run = vi.fn(async () => 'sent')
  const sending = locked('maya', run)
  await vi.advanceTimersByTimeAsync(60_000)
  expect(await Promise.race([sending, Promise.resolve('waits')])).toBe('sent')
  expect(run).toHaveBeenCalledTimes(1)
})

test('what fails with the lock is told, and not done again without it', async () => {
  const run = vi.fn(async () => Promise.reject(new Error('disk')))
  const sending = locked('maya', run)
  give()
  await expect(sending).rejects.toThrow('disk')
  expect(run).toHaveBeenCalledTimes(1)
})
