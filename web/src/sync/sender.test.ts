import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { openStore } from '../store/open'
import type { Row } from '../store/row'
import { sample, samples } from '../store/sample'
import type { Store } from '../store/store'
import { drain } from './sender'
import { Server } from './server'

let store: Store
let server: Server
let news: string[]
let number = 0

beforeEach(() => {
  store = openStore(`sender-${number++}`)
  server = new Server()
  news = []
})
afterEach(() => store.close())

const send = () =>
  drain({ store, ask: server.ask, now: () => 9_000, settled: (what) => news.push(what) })
const states = async () =>
  Object.fromEntries((await store.all()).map((row: Row) => [row.id, row.state]))
const sent = () => server.asked.map(({ url, ids }) => [url.replace('/api/v1/', ''), ids.length])

test('with nothing to send nobody is asked', async () => {
  expect(await send()).toEqual({ is: 'done' })
  expect(server.asked).toEqual([])
})

test('kinds go in order, fifty rows at a time, and what a teacher says one by one', async () => {
  await store.add([
    sample('lesson', 'said-1'),
    sample('lesson', 'said-2', {}, { lesson: 'another' }),
    ...samples('groups', 1),
    ...samples('falls', 1),
    ...samples('attempts', 120),
    ...samples('attendance', 2),
    ...samples('students', 1),
  ])
  expect(await send()).toEqual({ is: 'done' })
  expect(sent()).toEqual([
    ['students/batch', 1],
    ['attendance/batch', 2],
    ['attempts/batch', 50],
    ['attempts/batch', 50],
    ['attempts/batch', 20],
    ['falls/batch', 1],
    ['groups/batch', 1],
    ['lessons/lesson', 0],
    ['lessons/another', 0],
  ])
  expect(new Set(Object.values(await states()))).toEqual(new Set(['stored']))
})

test('the server is told whose rows they are, and gets them as they were written', async () => {
  const row = sample('attempts', 'one')
  await store.add([row])
  const asked: unknown[] = []
  await drain({
    store,
    now: () => 1,
    settled: () => {},
    ask: (...said) => {
      asked.push(said)
      return server.ask(...said)
    },
  })
  const body = { rows: [row.body] }
  expect(asked).toEqual([['POST', '/api/v1/attempts/batch', { body, member: store.member }]])
})

test('each row becomes what was answered to it', async () => {
  await store.add(samples('attempts', 4))
  server.judge = (_kind, { id }) =>
    ({
      'attempts-0': { status: 'held' },
      'attempts-1': { status: 'refused', code: 'unknown', pointer: '/rows/1/student' },
      'attempts-2': { status: 'already_stored', flags: ['clock'] },
      'attempts-3': { status: 'a word of a later server' },
    })[id]!
  expect(await send()).toEqual({ is: 'later', wait_ms: null })
  const rows = await store.all()
  expect(rows.map((row) => row.state)).toEqual(['held', 'refused', 'stored', 'waiting'])
  expect(rows[1]).toMatchObject({ code: 'unknown', pointer: '/rows/1/student', settled_at: 9_000 })
  expect(rows[2]).toMatchObject({ flags: ['clock'] })
  expect(news).toEqual(['changed'])
})

test('rows without an answer wait, and a round that settles nothing is the last', async () => {
  await store.add(samples('attempts', 3))
  server.judge = (_kind, { id }) => (id === 'attempts-1' ? { status: '' } : null)
  expect(await send()).toEqual({ is: 'later', wait_ms: null })
  expect(sent()).toEqual([
    ['attempts/batch', 3],
    ['attempts/batch', 1],
  ])
  expect(await states()).toMatchObject({ 'attempts-1': 'waiting', 'attempts-2': 'stored' })
})

test('after a lost answer the same rows are sent again, and are there once', async () => {
  await store.add(samples('attempts', 3))
  server.faults = ['lost']
  expect(await send()).toEqual({ is: 'later', wait_ms: null })
  expect(await states()).toMatchObject({ 'attempts-0': 'waiting' })
  expect(await send()).toEqual({ is: 'done' })
  expect([...server.stored.values()]).toEqual([1, 1, 1])
})

test.each([
  ['silent', { is: 'later', wait_ms: null }],
  ['csrf', { is: 'later', wait_ms: null }],
  ['too_many', { is: 'later', wait_ms: 3_000 }],
  ['signed_out', { is: 'signed_out' }],
  ['other_member', { is: 'other_member' }],
  ['gone', { is: 'update' }],
] as const)('%s ends sending, and every row waits on', async (fault, ended) => {
  await store.add([...samples('attempts', 2), ...samples('lesson', 1)])
  server.faults = [fault]
  expect(await send()).toEqual(ended)
  expect(server.asked).toHaveLength(1)
  server.faults = ['ok', fault]
  expect(await send()).toEqual(ended)
  expect(await states()).toEqual({
    'attempts-0': 'stored',
    'attempts-1': 'stored',
    'lesson-0': 'waiting',
  })
})

test('a batch that no server knows any more asks for a newer client', async () => {
  await store.add(samples('attempts', 1))
  const problem = { code: 'unknown', pointer: null, wait_ms: null }
  const ask = async () => ({ is: 'refusal', status: 404, problem }) as const
  expect(await drain({ store, ask, now: () => 1, settled: () => {} })).toEqual({ is: 'update' })
  expect(await states()).toEqual({ 'attempts-0': 'waiting' })
})

test('a batch that is refused whole is halved down to the row that is at fault', async () => {
  await store.add(samples('attempts', 8))
  const ask: typeof server.ask = async (method, url, asked) => {
    const { rows } = asked?.body as { rows: { id: string }[] }
    if (rows.some(({ id }) => id === 'attempts-5')) server.faults = ['too_large']
    return server.ask(method, url, asked)
  }
  expect(await drain({ store, ask, now: () => 1, settled: () => {} })).toEqual({ is: 'done' })
  expect(sent().map(([, count]) => count)).toEqual([8, 4, 4, 2, 1, 2, 1, 2])
  const refused = (await store.all()).filter((row) => row.state === 'refused')
  expect(refused.map(({ id, code }) => [id, code])).toEqual([['attempts-5', 'too_large']])
})

test('a lesson not to be seen, or not hers to change, is refused with its code', async () => {
  await store.add([sample('lesson', 'one'), sample('lesson', 'two')])
  const codes = [
    [404, 'unknown'],
    [403, 'not_allowed'],
  ] as const
  let place = 0
  const ask = async () => {
    const [status, code] = codes[place++]!
    return { is: 'refusal', status, problem: { code, pointer: null, wait_ms: null } } as const
  }
  expect(await drain({ store, ask, now: () => 1, settled: () => {} })).toEqual({ is: 'done' })
  const rows = await store.all()
  expect(rows.map(({ state, code }) => [state, code])).toEqual([
    ['refused', 'unknown'],
    ['refused', 'not_allowed'],
  ])
})

test('rows that name a child wait until it is known what became of her', async () => {
  await store.add([
    sample('students', 'new'),
    sample('attempts', 'hers', { student: 'new' }),
    sample('attempts', 'another'),
    sample('groups', 'with-her', { groups: [{ seats: { base: ['x'], flyer: ['new'] } }] }),
  ])
  let known = false
  server.judge = (kind) => (kind === 'students' && !known ? { status: '' } : null)
  expect(await send()).toEqual({ is: 'later', wait_ms: null })
  expect(await states()).toEqual({
    new: 'waiting',
    hers: 'waiting',
    another: 'stored',
    'with-her': 'waiting',
  })
  known = true
  expect(await send()).toEqual({ is: 'done' })
  expect(new Set(Object.values(await states()))).toEqual(new Set(['stored']))
})

test('groups made on top of each other offline are each newer than the one before', async () => {
  await store.add([
    sample('groups', 'first'),
    sample('groups', 'second'),
    sample('groups', 'third'),
  ])
  const stands = { version: 3 }
  server.judge = (_kind, row) => {
    const { based_on } = row as unknown as { based_on: number }
    if (based_on !== stands.version) {
      return { status: 'refused', code: 'newer', pointer: '/based_on', version: stands.version }
    }
    stands.version++
    return { status: 'stored', version: stands.version }
  }
  expect(await send()).toEqual({ is: 'done' })
  const rows = await store.all()
  expect(rows.map(({ state, version }) => [state, version])).toEqual([
    ['stored', 4],
    ['stored', 5],
    ['stored', 6],
  ])
})

test('groups that are refused keep the version that stands', async () => {
  await store.add([sample('groups', 'one')])
  server.judge = () => ({ status: 'refused', code: 'newer', pointer: '/based_on', version: 8 })
  expect(await send()).toEqual({ is: 'done' })
  expect((await store.all())[0]).toMatchObject({ state: 'refused', code: 'newer', version: 8 })
})

test('other tabs are told that documents name an erased child', async () => {
  await store.add([sample('attempts', 'hers')])
  server.judge = () => ({ status: 'refused', code: 'erased', pointer: '/rows/0/student' })
  expect(await send()).toEqual({ is: 'done' })
  expect(news).toEqual(['erased'])
  expect(await store.all()).toEqual([])
})

test('rows that are written while others are sent go too', async () => {
  await store.add(samples('attempts', 1))
  const ask: typeof server.ask = async (...said) => {
    if (!server.asked.length) await store.add([sample('attempts', 'late')])
    return server.ask(...said)
  }
  expect(await drain({ store, ask, now: () => 1, settled: () => {} })).toEqual({ is: 'done' })
  expect(await states()).toEqual({ 'attempts-0': 'stored', late: 'stored' })
})

/** A disk that takes no answers before it is emptied. */
function full() {
  const settle = store.settle.bind(store)
  store.settle = () => Promise.reject(new DOMException('full', 'QuotaExceededError'))
  return () => (store.settle = settle)
}

test('a phone that can write no answers down sends all the same, and says so', async () => {
  const emptied = full()
  await store.add([
    ...samples('attempts', 120),
    sample('students', 'new'),
    sample('attempts', 'hers', { student: 'new' }),
    sample('falls', 'fall'),
  ])
  await expect(send()).rejects.toThrow('full')
  expect([...server.stored.values()]).toEqual(Array(123).fill(1))
  expect([await store.counts(), news]).toMatchObject([{ waiting: 123 }, []])
  emptied()
  expect(await send()).toEqual({ is: 'done' })
  expect([...server.stored.values()]).toEqual(Array(123).fill(1))
})

test('groups made on top of others wait until it is written down what stands', async () => {
  const emptied = full()
  await store.add([sample('groups', 'first'), sample('groups', 'second')])
  server.judge = (_kind, row) => {
    const { based_on } = row as unknown as { based_on: number }
    return { status: 'stored', version: based_on + 1 }
  }
  await expect(send()).rejects.toThrow('full')
  expect(sent()).toEqual([['groups/batch', 1]])
  emptied()
  expect(await send()).toEqual({ is: 'done' })
  expect((await store.all()).map(({ version }) => version)).toEqual([4, 5])
})

test('what was answered while the disk was full is written down as soon as it is not', async () => {
  const emptied = full()
  await store.add(samples('attempts', 60))
  const ask: typeof server.ask = async (...said) => {
    if (server.asked.length) emptied()
    return server.ask(...said)
  }
  const settled = (what: string) => news.push(what)
  expect(await drain({ store, ask, now: () => 1, settled })).toEqual({ is: 'done' })
  expect(sent().map(([, count]) => count)).toEqual([50, 10])
  expect(news).toEqual(['changed'])
})
