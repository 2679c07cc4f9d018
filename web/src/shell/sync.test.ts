import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { Server } from '../sync/server'
import { tabsOf, type Tabs } from '../sync/tabs'
import { openStore } from '../store/open'
import { sample, samples } from '../store/sample'
import { Sending } from './sync.svelte'

/** Two tabs of one member on one phone, before one server. */
let tabs: { sync: Sending; tabs: Tabs; store: ReturnType<typeof openStore> }[]
let server: Server
let old: number
let number = 0

beforeEach(() => {
  vi.stubGlobal('navigator', {})
  server = new Server()
  old = 0
  const member = `tabs-${number++}`
  tabs = [1, 2].map(() => {
    const store = openStore(member)
    const of = tabsOf(member)
    const broke = (error: unknown) => {
      throw error
    }
    const world = { store, ask: server.ask, now: Date.now, tabs: of, broke, tooOld: () => old++ }
    return { store, tabs: of, sync: new Sending(world) }
  })
})

afterEach(() => {
  for (const tab of tabs) {
    tab.sync.close()
    tab.tabs.close()
    tab.store.close()
  }
  vi.unstubAllGlobals()
})

test('what one tab writes the other counts, and sees sent', async () => {
  const [one, two] = tabs
  server.faults = ['too_many']
  let told = 0
  const leave = two!.sync.watch(() => told++)
  await one!.store.add(samples('attempts', 2))
  one!.sync.poke()
  await vi.waitFor(() => expect(two!.sync.counts).toMatchObject({ waiting: 2, tries: 2 }))
  await vi.waitFor(() => expect(one!.sync.standing).toBe('waiting'))
  expect(told).toBeGreaterThan(0)
  await one!.sync.now()
  await vi.waitFor(() => expect(two!.sync.counts).toMatchObject({ waiting: 0, since: null }))
  expect(one!.sync.standing).toBe('idle')
  leave()
  const before = told
  one!.sync.poke()
  await vi.waitFor(() => expect(one!.sync.standing).toBe('idle'))
  expect(told).toBe(before)
})

test('two tabs that send at once leave each row there once', async () => {
  const [one, two] = tabs
  await one!.store.add([...samples('attempts', 60), sample('students', 'new')])
  await Promise.all([one!.sync.now(), two!.sync.now()])
  expect(await one!.store.counts()).toMatchObject({ waiting: 0 })
  expect([...server.stored.values()]).toEqual(Array(61).fill(1))
})

test('a client that is too old looks for a newer one', async () => {
  const [one] = tabs
  server.faults = ['gone']
  await one!.store.add(samples('attempts', 1))
  await one!.sync.now()
  expect([one!.sync.standing, old]).toEqual(['update', 1])
})

test('what is on this phone is not known before it was read, nor when it cannot be', async () => {
  const [one] = tabs
  expect(one!.sync.known).toBe(false)
  await one!.sync.now()
  await vi.waitFor(() => expect(one!.sync.known).toBe(true))
  one!.store.counts = () => Promise.reject(new DOMException('gone', 'UnknownError'))
  await expect(one!.sync.count()).rejects.toThrow('gone')
  expect(one!.sync.known).toBe(false)
})

test('a tab that missed what another has written counts it with its next look', async () => {
  const [one, two] = tabs
  await two!.sync.now()
  server.faults = ['silent', 'silent']
  await one!.store.add(samples('attempts', 2)) // and nobody tells: the tab was frozen
  await two!.sync.now()
  await vi.waitFor(() => expect(two!.sync.counts).toMatchObject({ waiting: 2 }))
  expect(two!.sync.standing).toBe('waiting')
})
