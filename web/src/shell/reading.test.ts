import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test } from 'vitest'
import type { Ask } from '../api/client'
import { SILENCE, type Reply } from '../api/reply'
import { openStore } from '../store/open'
import type { Store } from '../store/store'
import { Readings } from './reading.svelte'

let store: Store
let said: Reply[]
let asked: (string | null | undefined)[]
let broken: unknown[]
let now = 1_000
let number = 0

const ask: Ask = async (method, url, { etag, member } = {}) => {
  expect([method, url, member]).toEqual(['GET', '/sheet', store.member])
  asked.push(etag)
  return said.shift() ?? SILENCE
}
const readings = () =>
  new Readings({ store, ask, now: () => now, broke: (error) => broken.push(error) })
const answer = (body: unknown, etag = '"1"', status = 200): Reply => ({
  is: 'answer',
  status,
  body,
  etag,
})
const refusal = (status: number): Reply => ({
  is: 'refusal',
  status,
  problem: { code: '', pointer: null, wait_ms: null },
})
const shown = ({ body, read_at, from, trouble }: ReturnType<Readings['of']>) => ({
  body,
  read_at,
  from,
  trouble,
})

beforeEach(() => {
  store = openStore(`reading-${number++}`)
  said = []
  asked = []
  broken = []
  now = 1_000
})
afterEach(() => {
  store.close()
  expect(broken).toEqual([])
})

test('what was never read, with no signal, is nothing', async () => {
  const one = readings().of('/sheet')
  expect(shown(one)).toEqual({ body: null, read_at: null, from: 'none', trouble: null })
  await one.refresh()
  expect(shown(one)).toEqual({ body: null, read_at: null, from: 'none', trouble: 'no_signal' })
})

test('what is read is kept, and is there at the next start with no signal', async () => {
  said = [answer({ a: 1 })]
  const one = readings().of('/sheet')
  await one.refresh()
  expect(shown(one)).toEqual({ body: { a: 1 }, read_at: 1_000, from: 'fresh', trouble: null })
  now = 2_000
  const later = readings().of('/sheet')
  await later.refresh()
  expect(shown(later)).toEqual({
    body: { a: 1 },
    read_at: 1_000,
    from: 'kept',
    trouble: 'no_signal',
  })
  expect(asked).toEqual([null, '"1"'])
})

test('what has not changed is as of now, here and on the disk', async () => {
  said = [answer({ a: 1 }), answer(null, '"1"', 304)]
  await readings().of('/sheet').refresh()
  now = 3_000
  const one = readings().of('/sheet')
  await one.refresh()
  expect(shown(one)).toMatchObject({ body: { a: 1 }, read_at: 3_000, from: 'fresh' })
  expect(await store.read('/sheet')).toMatchObject({ body: { a: 1 }, etag: '"1"', read_at: 3_000 })
})

test.each([401, 403, 404])(
  'what the server refuses with %i stays as it was read',
  async (status) => {
    said = [answer({ a: 1 }), refusal(status)]
    const one = readings().of('/sheet')
    await one.refresh()
    await one.refresh()
    expect(shown(one)).toMatchObject({ body: { a: 1 }, trouble: status })
  },
)

test('two who ask at once ask the server once, and hold the same', async () => {
  said = [answer({ a: 1 })]
  const all = readings()
  const [one, two] = [all.of('/sheet'), all.of('/sheet')]
  expect(one).toBe(two)
  await Promise.all([one.refresh(), two.refresh()])
  expect(asked).toHaveLength(1)
})

test('a screen that comes back asks anew', async () => {
  said = [answer({ a: 1 }), answer({ a: 2 }, '"2"')]
  const all = readings()
  await all.of('/sheet').refresh()
  const again = all.of('/sheet')
  await again.refresh()
  expect(again.body).toEqual({ a: 2 })
  expect(asked).toEqual([null, '"1"'])
})

test('with a signal again what was missed is read, and nothing else', async () => {
  said = [SILENCE, answer({ a: 1 })]
  const all = readings()
  const one = all.of('/sheet')
  await one.refresh()
  await all.wake()
  expect(shown(one)).toMatchObject({ body: { a: 1 }, from: 'fresh', trouble: null })
  await all.wake()
  expect(asked).toHaveLength(2)
})

test('what cannot be kept is shown, and the mishap told', async () => {
  said = [answer({ a: 1 })]
  const full = { ...store, keep: () => Promise.reject(new Error('full')) }
  const all = new Readings({
    store: full,
    ask,
    now: () => now,
    broke: (error) => broken.push(error),
  })
  const one = all.of('/sheet')
  await one.refresh()
  expect(one.body).toEqual({ a: 1 })
  expect(broken.splice(0)).toEqual([new Error('full')])
})
