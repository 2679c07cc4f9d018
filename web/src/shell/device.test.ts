import { IDBFactory } from 'fake-indexeddb'
import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { openDevice } from './device'

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory()
})
afterEach(() => vi.restoreAllMocks())

test('what was remembered is there after the browser has dropped the connection', async () => {
  const device = await openDevice()
  await device.set('current', 'maya')
  const begin = vi.spyOn(IDBDatabase.prototype, 'transaction')
  begin.mockImplementationOnce(() => {
    throw new DOMException('the connection is closing', 'InvalidStateError')
  })
  expect(await device.get('current')).toBe('maya')
})

test('a newer build that brings it up to date is not kept waiting by an older tab', async () => {
  const device = await openDevice()
  await device.set('current', 'maya')
  const next = indexedDB.open('counterpoise-device', 2)
  await new Promise((resolve, reject) => {
    next.onsuccess = resolve
    next.onblocked = () => reject(new Error('blocked'))
  })
  next.result.close()
  expect(await device.get('current')).toBe('maya')
})
