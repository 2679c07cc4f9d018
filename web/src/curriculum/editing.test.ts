import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import type { Asked, Method } from '../api/client'
import { SILENCE, type Reply } from '../api/reply'
import { usePhone, type Phone } from '../shell/phone'
import { Editing, unsavedOf } from './editing.svelte'

const READ = { skill: 'seat', tag: 't1', document: { name: 'Seat', criterion: '5 s', pose: { figures: [] } } }
const FINE: Reply = { is: 'answer', status: 200, body: { faults: [], warnings: [] }, etag: null }

let asked: { method: Method; url: string; said: Asked }[]
let checks: (Reply | Promise<Reply>)[]
let saves: Reply[]
let url = ''
let count = 0
let asking: boolean
beforeEach(() => {
  vi.stubGlobal('addEventListener', () => (asking = true))
  vi.stubGlobal('removeEventListener', () => (asking = false))
  vi.useFakeTimers()
  asked = []
  checks = []
  saves = []
  url = `/cards/${++count}`
  const phone: Partial<Phone> = {
    session: { member: { member: 'm' } } as Phone['session'],
    ask: async (method, url, said = {}) => {
      asked.push({ method, url, said })
      return (method === 'POST' ? checks : saves).shift() ?? FINE
    },
  }
  usePhone(phone as Phone)
})
afterEach(() => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

const saved = (document: object, tag: string): Reply => ({
  is: 'answer',
  status: 200,
  body: { ...READ, document, tag },
  etag: `"${tag}"`,
})

function refusal(status: number, body: object): Reply {
  return { is: 'refusal', status, body, problem: { code: '', pointer: null, wait_ms: null } }
}

const bySomebody = (document: object | null, tag: string | null) =>
  refusal(412, { detail: 'another by now', current: { tag, document, changed_at: null, changed_by: null } })

test('what is not saved is told of its draft, and asked about when the window is closed', () => {
  const [draft, other] = [`/drafts/${++count}`, `/drafts/${++count}`]
  const card = new Editing(`${draft}/cards/seat`, READ)
  card.write(['name'], 'Mine')
  expect([unsavedOf(draft), unsavedOf(other), asking]).toEqual([['seat'], [], true])
  card.giveUp()
  expect([unsavedOf(draft), asking]).toEqual([[], false])
})

test('what is typed is checked once she pauses, and told at its field', async () => {
  const card = new Editing(url, READ)
  await vi.runAllTimersAsync()
  asked = []
  const detail = 'no family “x”'
  checks = [refusal(400, { errors: [{ pointer: '/criterion', detail: 'empty' }] })]
  card.write(['criterion'], '')
  card.write(['family'], 'x')
  await vi.runAllTimersAsync()
  expect(asked.map(({ said }) => said.body)).toEqual([{ ...READ.document, criterion: '', family: 'x' }])
  expect([card.wrong(['criterion']), card.wrong(['name'])]).toEqual(['empty', null])

  const faults = ['seat', 'plank'].map((skill) => ({ skill, pointer: '/family', detail }))
  checks = [{ ...FINE, body: { faults, warnings: [] } } as Reply]
  card.write(['criterion'], '3 s')
  await vi.runAllTimersAsync()
  expect([card.wrong(['criterion']), card.wrong(['family'])]).toEqual([null, detail])
  expect([card.under([['family']]), card.others(card.faults).length]).toEqual([1, 1])
})

test('an earlier check that comes late says nothing', async () => {
  let late: (reply: Reply) => void = () => {}
  checks = [new Promise<Reply>((resolve) => (late = resolve))]
  const card = new Editing(url, READ)
  await card.check()
  late(refusal(400, { errors: [{ pointer: '/name', detail: 'of old' }] }))
  await vi.runAllTimersAsync()
  expect(card.faults).toEqual([])
})

test('nothing typed is lost to a refusal, to no signal, or to another page', async () => {
  const card = new Editing(url, READ)
  card.write(['name'], 'Mine')
  for (const reply of [SILENCE, refusal(400, { errors: [{ pointer: '/name', detail: 'x' }] })]) {
    saves = [reply]
    expect(await card.save()).toBe(false)
    expect([card.text(['name']), card.changed]).toEqual(['Mine', true])
  }
  const later = new Editing(url, { ...READ, tag: 't2', document: { name: 'Theirs' } })
  expect([later.found, later.text(['name']), later.tag]).toEqual([true, 'Mine', 't1'])
  later.giveUp()
  expect(new Editing(url, READ).found).toBe(false)
})

test('it is saved with the tag that was read, and what the form does not show goes with it', async () => {
  const card = new Editing(url, READ)
  card.write(['name'], 'Mine')
  saves = [saved({ ...READ.document, name: 'Mine' }, 't2')]
  expect(await card.save()).toBe(true)
  const put = asked.find(({ method }) => method === 'PUT')
  expect(put?.said).toEqual({ version: '"t1"', body: { ...READ.document, name: 'Mine' } })
  expect([card.tag, card.changed]).toEqual(['t2', false])
})

test('of two who write at it the second keeps hers, takes the other, or some of it', async () => {
  const theirs = { ...READ.document, name: 'Theirs', grip: 'wrists', caution: 'Look first.' }
  const card = new Editing(url, READ)
  card.write(['name'], 'Mine')
  card.write(['grip'], 'hands')
  saves = [bySomebody(theirs, 't2')]
  await card.save()
  // What she has not touched is nothing to decide on.
  const hers = { ...theirs, name: 'Mine', grip: 'hands' }
  expect([card.standing?.document, card.document]).toEqual([theirs, hers])

  card.takeStanding()
  expect([card.document, card.changed, card.standing]).toEqual([theirs, false, null])
  card.mineAgain()
  expect([card.document, card.tag]).toEqual([hers, 't2'])

  saves = [bySomebody(theirs, 't3')]
  await card.save()
  card.takePart('grip')
  saves = [saved({ ...theirs, name: 'Mine' }, 't4')]
  expect(await card.insist()).toBe(true)
  expect(asked.findLast(({ method }) => method === 'PUT')?.said).toEqual({
    version: '"t3"',
    body: { ...theirs, name: 'Mine' },
  })
  expect([card.standing, card.aside]).toEqual([null, null])
})

test('what somebody else took out is put back as a new one', async () => {
  const card = new Editing(url, READ)
  card.write(['name'], 'Mine')
  saves = [bySomebody(null, null), saved({ ...READ.document, name: 'Mine' }, 't5')]
  await card.save()
  expect(await card.insist()).toBe(true)
  expect(asked.findLast(({ method }) => method === 'PUT')?.said).toMatchObject({ fresh: true })
})
