import 'fake-indexeddb/auto'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { notices } from '../parts/notices.svelte'
import { usePhone, type Phone } from '../shell/phone'
import { openStore } from '../store/open'
import { LESSON, sample } from '../store/sample'
import type { Row } from '../store/row'
import type { Store } from '../store/store'
import { words } from '../words/words'
import { Evening, type Entry } from './evening.svelte'

const SHEET = {
  class: { id: 'class' },
  lesson: { id: LESSON, on: '2026-12-01', mats: 4, surface: null, note: '', spotters: [] },
  children: ['Amara', 'Bao'].map((id) => ({ id, name: id, state: 'here', revision: null })),
  cards: [{ skill: 'seat', skill_id: 'skill' }],
  kept: [],
}
const ENTRY: Entry = {
  student: 'Amara',
  skill: 'seat',
  role: 'base',
  spot: 'hands_on',
  outcome: 'shaky',
  weight: 'own',
}
const MINUTE_MS = 60_000

let disk: Store
let store: Store
let hearers: Set<() => void>
let read: Map<string, number>
let poked: number
let evening: Evening
let looked: { visible: boolean; online: boolean; page: EventTarget }
let number = 0

function reading(url: string) {
  const [path] = url.replace(/.*\//, '').split('?') as [string]
  const body = path === 'sheet' ? SHEET : { rows: [], next: null }
  const refresh = async () => void read.set(path, (read.get(path) ?? 0) + 1)
  return { body, read_at: 1000, from: 'fresh', trouble: null, refresh }
}

const tell = () => hearers.forEach((heard) => heard())
const outcomes = () => evening.now!.tries.map((one) => one.outcome)

beforeEach(async () => {
  disk = openStore(`evening-${number++}`)
  store = { ...disk, ofLesson: vi.fn((lesson: string) => disk.ofLesson(lesson)) }
  hearers = new Set()
  read = new Map()
  poked = 0
  looked = { visible: true, online: true, page: new EventTarget() }
  vi.stubGlobal('navigator', {
    get onLine() {
      return looked.online
    },
  })
  vi.stubGlobal('document', {
    get visibilityState() {
      return looked.visible ? 'visible' : 'hidden'
    },
    addEventListener: looked.page.addEventListener.bind(looked.page),
    removeEventListener: looked.page.removeEventListener.bind(looked.page),
  })
  const watch = (heard: () => void) => {
    hearers.add(heard)
    return () => hearers.delete(heard)
  }
  const poke = () => {
    poked++
    tell()
  }
  usePhone({
    store,
    reading,
    sync: { watch, poke },
    clock: { now: () => 2000, offset_ms: () => 0 },
  } as unknown as Phone)
  evening = new Evening(LESSON)
  await evening.again()
})

afterEach(() => {
  evening.close()
  vi.useRealTimers()
  vi.unstubAllGlobals()
  notices.list = []
  usePhone(null)
  disk.close()
})

function brokenReading() {
  vi.mocked(store.ofLesson).mockRejectedValue(new Error('the disk does not answer'))
}

test('what is written is on the screen, sent, and read from the disk once', async () => {
  const before = vi.mocked(store.ofLesson).mock.calls.length
  await evening.log([ENTRY])
  expect(outcomes()).toEqual(['shaky'])
  expect(poked).toBe(1)
  expect(store.ofLesson).toHaveBeenCalledTimes(before + 1)
  await evening.again()
  expect(outcomes()).toEqual(['shaky'])
})

test('nothing new, and the evening is the same one', async () => {
  const { now } = evening
  expect(evening.now).toBe(now)
  await evening.log([ENTRY])
  expect(evening.now).not.toBe(now)
})

test('what is on the disk is saved, though it cannot be read back; that is said', async () => {
  brokenReading()
  await evening.log([ENTRY])
  expect(await disk.ofLesson(LESSON)).toHaveLength(1)
  expect(outcomes()).toEqual(['shaky'])
  expect(poked).toBe(1)
  await vi.waitFor(() =>
    expect(notices.list.map(({ text, grave }) => ({ text, grave }))).toEqual([
      { text: words.shell.notReadAgain, grave: false },
    ]),
  )
})

test('what is not on the disk is not saved, not shown and not sent', async () => {
  store.add = () => Promise.reject(new Error('full'))
  await expect(evening.log([ENTRY])).rejects.toThrow('full')
  expect(outcomes()).toEqual([])
  expect(poked).toBe(0)
})

test('a reading from before takes nothing away that was written since', async () => {
  const slow: ((rows: Row[]) => void)[] = []
  vi.mocked(store.ofLesson).mockImplementationOnce(() => new Promise((done) => slow.push(done)))
  const reading = evening.again()
  await evening.log([ENTRY])
  slow[0]!([])
  await reading
  expect(outcomes()).toEqual(['shaky'])
})

test('a try is corrected and taken back after the lesson was left too', async () => {
  const [one] = await evening.log([ENTRY])
  evening.close()
  await evening.correct(one!, { outcome: 'clean' })
  await evening.undo(evening.now!.tries)
  const rows = await disk.ofLesson(LESSON)
  const said = rows.map(({ body }) => body as unknown as { revision: number; outcome: string })
  expect(said.map(({ revision, outcome }) => [revision, outcome])).toEqual([
    [1, 'shaky'],
    [2, 'clean'],
    [3, 'removed'],
  ])
})

test.each([
  ['attempts', 'tries'],
  ['attendance', 'sheet'],
  ['groups', 'sheet'],
] as const)('once rows of %s have come through, what is read anew, once, is %s', async (kind, path) => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  const stored = (id: string, settled_at: number): Row =>
    ({ ...sample(kind, id), state: 'stored', settled_at }) as Row
  const rows = vi.mocked(store.ofLesson)
  rows.mockResolvedValue([stored('a', 900)])
  await evening.again()
  vi.advanceTimersByTime(MINUTE_MS)
  expect(read).toEqual(new Map())
  rows.mockResolvedValue([stored('a', 900), stored('b', 1100)])
  await Promise.all([evening.again(), evening.again()])
  vi.advanceTimersByTime(MINUTE_MS)
  expect(read).toEqual(new Map([[path, 1]]))
})

function looking() {
  evening.close()
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] })
  evening = new Evening(LESSON)
}

test('while somebody looks, the tries of other phones come within a minute', () => {
  looking()
  vi.advanceTimersByTime(2 * MINUTE_MS)
  expect(read).toEqual(new Map([['tries', 2]]))
  looked.online = false
  vi.advanceTimersByTime(MINUTE_MS)
  looked = { ...looked, online: true, visible: false }
  vi.advanceTimersByTime(MINUTE_MS)
  looked.page.dispatchEvent(new Event('visibilitychange'))
  expect(read).toEqual(new Map([['tries', 2]]))
})

test('whoever looks again sees what stands now, as long as the lesson is open', () => {
  looking()
  looked.page.dispatchEvent(new Event('visibilitychange'))
  const seen = new Map([
    ['sheet', 1],
    ['tries', 1],
  ])
  expect(read).toEqual(seen)
  evening.close()
  looked.page.dispatchEvent(new Event('visibilitychange'))
  vi.advanceTimersByTime(2 * MINUTE_MS)
  tell()
  expect(read).toEqual(seen)
})
