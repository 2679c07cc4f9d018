import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { newer } from './offline.svelte'
import { usePhone, type Phone } from './phone'

/** What was done with the phone, in order. */
let done: string[]
let changed: () => void

beforeEach(() => {
  vi.useFakeTimers()
  done = []
  const serviceWorker = {
    addEventListener: (_: 'controllerchange', heard: () => void) => (changed = heard),
  }
  vi.stubGlobal('navigator', { serviceWorker })
  vi.stubGlobal('location', { reload: () => done.push('read anew') })
  usePhone({
    sync: { close: () => done.push('sends nothing more') },
    store: { settle: async () => void done.push('writes are through') },
  } as unknown as Phone)
})

afterEach(() => {
  usePhone(null)
  vi.unstubAllGlobals()
  vi.useRealTimers()
})

const waiting = { postMessage: (said: string) => done.push(said) } as unknown as ServiceWorker
const BEFORE = ['sends nothing more', 'writes are through', 'use']

test('the page is read anew as soon as the newer worker has taken over', async () => {
  newer.found(waiting)
  expect(newer.waits).toBe(true)
  await newer.use()
  expect(done).toEqual(BEFORE)
  changed()
  expect(done).toEqual([...BEFORE, 'read anew'])
})

test('where the older worker stays on, it is read anew after five seconds', async () => {
  newer.found(waiting)
  await newer.use()
  await vi.advanceTimersByTimeAsync(4999)
  expect(done).toEqual(BEFORE)
  await vi.advanceTimersByTimeAsync(1)
  expect(done).toEqual([...BEFORE, 'read anew'])
})

test('where another tab uses the newer one already, it is read anew at once', async () => {
  newer.found(null)
  await newer.use()
  expect(done).toEqual([...BEFORE.slice(0, 2), 'read anew'])
})

test('a disk that does not answer does not leave a page that sends nothing', async () => {
  usePhone({
    sync: { close: () => {} },
    store: { settle: () => Promise.reject(new DOMException('full', 'QuotaExceededError')) },
  } as unknown as Phone)
  newer.found(waiting)
  await newer.use()
  expect(done).toEqual(['use'])
  changed()
  expect(done).toEqual(['use', 'read anew'])
})
