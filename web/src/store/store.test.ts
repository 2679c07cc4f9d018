import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { databaseName } from './database'
import { openStore } from './open'
import type { Row } from './row'
import { LESSON, sample, samples } from './sample'
import type { Settled, Store } from './store'

let store: Store
let number = 0

beforeEach(() => {
  store = openStore(`member-${number++}`)
})

afterEach(() => {
  vi.restoreAllMocks()
  store.close()
})

const answer = (id: string, said: Partial<Settled> = {}): Settled => ({
  id,
  state: 'stored',
  code: null,
  pointer: null,
  flags: [],
  version: null,
  ...said,
})

const states = (rows: readonly Row[]) => Object.fromEntries(rows.map((row) => [row.id, row.state]))

test('rows come back as written, in the order of writing whatever the clock said', async () => {
  const [first, second] = [
    sample('attempts', 'b', {}, { made_at: 2_000 }),
    sample('attempts', 'a', {}, { made_at: 1_000 }),
  ]
  await store.add([first])
  await store.add([second])
  expect(await store.all()).toEqual([first, second])
  expect(await store.waiting('attempts', 1)).toEqual([first])
  expect(await store.ofLesson(LESSON)).toEqual([first, second])
  expect(await store.ofLesson('another')).toEqual([])
})

test('a write is durable, and resolves no sooner than the disk has answered', async () => {
  await store.add([])
  let complete = false
  const begin = IDBDatabase.prototype.transaction
  const begun = vi.spyOn(IDBDatabase.prototype, 'transaction')
  begun.mockImplementationOnce(function (this: IDBDatabase, ...said) {
    const made = begin.apply(this, said)
    made.addEventListener('complete', () => (complete = true))
    return made
  })
  await store.add(samples('attempts', 3))
  expect(begun.mock.calls[0]![2]).toEqual({ durability: 'strict' })
  expect(complete).toBe(true)
})

test('on a full disk nothing is written, and the writer is told', async () => {
  await store.add([sample('attempts', 'before')])
  const add = vi.spyOn(IDBObjectStore.prototype, 'add')
  add.mockImplementationOnce(function (this: IDBObjectStore, ...said) {
    return this.put(...said)
  })
  add.mockImplementationOnce(() => {
    throw new DOMException('full', 'QuotaExceededError')
  })
  await expect(store.add(samples('attempts', 2))).rejects.toThrow('full')
  expect(states(await store.all())).toEqual({ before: 'waiting' })
})

test('an id that is there already takes the whole write back', async () => {
  await store.add([sample('attempts', 'one')])
  await expect(store.add([sample('falls', 'two'), sample('attempts', 'one')])).rejects.toThrow()
  expect(states(await store.all())).toEqual({ one: 'waiting' })
})

test('answers are written down by id', async () => {
  await store.add([...samples('attempts', 3), sample('falls', 'fall')])
  await store.settle(
    [
      answer('attempts-1', { flags: ['clock'] }),
      answer('attempts-0', { state: 'held' }),
      answer('fall', { state: 'refused', code: 'unknown', pointer: '/rows/0/student' }),
      answer('nobody'),
    ],
    7_000,
  )
  const rows = await store.all()
  expect(states(rows)).toEqual({
    'attempts-0': 'held',
    'attempts-1': 'stored',
    'attempts-2': 'waiting',
    fall: 'refused',
  })
  expect(rows[1]).toMatchObject({ flags: ['clock'], settled_at: 7_000 })
  expect(rows[3]).toMatchObject({ code: 'unknown', pointer: '/rows/0/student' })
})

test('an answer that comes late changes nothing that is settled', async () => {
  await store.add([sample('groups', 'one')])
  await store.settle([answer('one', { version: 4 })], 1)
  await store.settle([answer('one', { state: 'refused', code: 'newer', version: 5 })], 2)
  expect((await store.all())[0]).toMatchObject({ state: 'stored', version: 4, settled_at: 1 })
})

test('what is counted', async () => {
  expect(await store.counts()).toEqual({ waiting: 0, tries: 0, held: 0, refused: 0, since: null })
  await store.add([
    sample('attempts', 'a', {}, { made_at: 5_000 }),
    sample('attempts', 'b', {}, { made_at: 6_000 }),
    sample('attendance', 'c', {}, { made_at: 4_000 }),
    sample('falls', 'd'),
    sample('falls', 'e'),
    sample('falls', 'f'),
  ])
  await store.settle(
    [
      answer('d', { state: 'held' }),
      answer('e', { state: 'refused' }),
      answer('f', { state: 'refused' }),
    ],
    1,
  )
  await store.putAside('f')
  expect(await store.counts()).toEqual({ waiting: 3, tries: 2, held: 1, refused: 1, since: 4_000 })
})

test('of an erased child nothing is left: no row of hers, no document that names her', async () => {
  await store.add([
    sample('students', 'gone'),
    sample('attempts', 'hers', { student: 'gone' }),
    sample('attempts', 'hers-in-another', { student: 'gone' }, { lesson: 'another' }),
    sample('attempts', 'another-child'),
  ])
  await store.settle([answer('hers-in-another')], 1)
  await store.keep({ url: '/sheet', etag: null, body: { children: [{ id: 'gone' }] }, read_at: 1 })
  await store.keep({ url: '/other', etag: null, body: { children: [] }, read_at: 1 })
  await store.settle([answer('hers', { state: 'refused', code: 'erased' })], 2)
  expect(states(await store.all())).toEqual({ 'another-child': 'waiting' })
  expect(await store.read('/sheet')).toBeUndefined()
  expect(await store.read('/other')).toBeDefined()
})

test('groups made on top of groups that are stored now are made out of these', async () => {
  await store.add([
    sample('groups', 'first'),
    sample('groups', 'on-top'),
    sample('groups', 'out-of-newer', { based_on: 7 }),
    sample('groups', 'another-skill', { skill_id: 'another' }),
    sample('groups', 'another-lesson', {}, { lesson: 'another' }),
  ])
  await store.settle([answer('first', { version: 4 })], 1)
  const based = (await store.all()).map((row) => row.kind === 'groups' && row.body.based_on)
  expect(based).toEqual([3, 4, 7, 3, 3])
})

test('groups stay as they were made where the ones beneath are refused', async () => {
  await store.add([sample('groups', 'first'), sample('groups', 'on-top')])
  await store.settle([answer('first', { state: 'refused', code: 'newer', version: 4 })], 1)
  expect((await store.all())[1]).toMatchObject({ body: { based_on: 3 } })
})

test('a refused row waits again, as if it had never been sent', async () => {
  await store.add([sample('attempts', 'one'), sample('attempts', 'stored')])
  const [before] = await store.all()
  await store.settle(
    [answer('one', { state: 'refused', code: 'unknown', pointer: '/x' }), answer('stored')],
    1,
  )
  await store.putAside('one')
  await store.again('one')
  await store.again('stored')
  const [one, stored] = await store.all()
  expect(one).toEqual(before)
  expect(stored?.state).toBe('stored')
})

test('with a child whose name was corrected her tries wait again', async () => {
  await store.add([
    sample('students', 'new'),
    sample('attempts', 'hers', { student: 'new' }),
    sample('attempts', 'bad', { student: 'new' }),
  ])
  const refused = { state: 'refused' } as const
  await store.settle(
    [
      answer('new', { ...refused, code: 'invalid', pointer: '/rows/0/given_name' }),
      answer('hers', { ...refused, code: 'unknown', pointer: '/rows/0/student' }),
      answer('bad', { ...refused, code: 'invalid', pointer: '/rows/1/measure' }),
    ],
    1,
  )
  await store.again('new', { given_name: 'June' })
  const rows = await store.all()
  expect(states(rows)).toEqual({ new: 'waiting', hers: 'waiting', bad: 'refused' })
  expect(rows[0]?.body).toEqual({ ...sample('students', 'new').body, given_name: 'June' })
})

test('rows go seven days after their lesson, unless they still ask for somebody', async () => {
  const on = (id: string, day: string) => sample('attempts', id, {}, { on: day })
  await store.add([
    on('old', '2026-11-23'),
    on('in-time', '2026-11-24'),
    on('waits', '2026-11-01'),
    on('refused', '2026-11-01'),
    on('aside', '2026-11-01'),
    on('held', '2026-11-01'),
  ])
  await store.settle(
    [
      answer('old'),
      answer('in-time'),
      answer('refused', { state: 'refused' }),
      answer('aside', { state: 'refused' }),
      answer('held', { state: 'held' }),
    ],
    1,
  )
  await store.putAside('aside')
  const read_at = Date.parse('2026-11-03')
  await store.keep({ url: '/old', etag: null, body: 1, read_at: read_at - 1 })
  await store.keep({ url: '/in-time', etag: null, body: 1, read_at })
  await store.forgetOld('2026-12-01')
  expect((await store.all()).map((row) => row.id)).toEqual(['in-time', 'waits', 'refused'])
  expect(await store.read('/old')).toBeUndefined()
  expect(await store.read('/in-time')).toBeDefined()
})

test('documents and stored children go, all other rows and choices stay', async () => {
  await store.add([sample('attempts', 'one')])
  await store.add([sample('students', 'known'), sample('students', 'new')])
  await store.settle([answer('known')], 1)
  await store.keep({ url: '/sheet', etag: 'W/"1"', body: { a: 1 }, read_at: 5 })
  await store.choose('side', 'left')
  expect(await store.read('/sheet')).toEqual({
    url: '/sheet',
    etag: 'W/"1"',
    body: { a: 1 },
    read_at: 5,
  })
  await store.forgetNames()
  expect(await store.read('/sheet')).toBeUndefined()
  expect(await store.choice('side')).toBe('left')
  expect(states(await store.all())).toEqual({ one: 'waiting', new: 'waiting' })
})

test('members see nothing of each other', async () => {
  const other = openStore('another')
  await store.add([sample('attempts', 'one')])
  expect(await other.all()).toEqual([])
  other.close()
})

test('a connection that the browser has dropped is opened again', async () => {
  await store.add([sample('attempts', 'one')])
  const begun = vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementationOnce(() => {
    throw new DOMException('closing', 'InvalidStateError')
  })
  await store.add([sample('attempts', 'two')])
  expect(begun).toHaveBeenCalledTimes(2)
  expect(await store.all()).toHaveLength(2)
})

test('a newer build brings the database up to date beside this one, which writes on', async () => {
  await store.add([sample('attempts', 'one')])
  const opening = indexedDB.open(databaseName(store.member), 2)
  opening.onupgradeneeded = () => opening.result.createObjectStore('added-later')
  await new Promise((resolve) => (opening.onsuccess = resolve))
  opening.result.close()
  await store.add([sample('attempts', 'two')])
  expect(await store.all()).toHaveLength(2)
})

test('what a newer build has written waits too, and is not said to be sent', async () => {
  await store.add([sample('attempts', 'mine', {}, { made_at: 9_000 })])
  await store.settle([answer('mine')], 9_500)
  const later = sample('attempts', 'newer', {}, { made_at: 8_000 })
  await store.add([{ ...later, kind: 'a kind of a later build' } as unknown as Row])
  expect(await store.counts()).toMatchObject({ waiting: 1, tries: 0, since: 8_000 })
})
