import { IDBFactory } from 'fake-indexeddb'
import 'fake-indexeddb/auto'
import { beforeEach, expect, test } from 'vitest'
import type { Ask } from '../api/client'
import { SILENCE, type Reply } from '../api/reply'
import { openStore } from '../store/open'
import { sample, samples } from '../store/sample'
import type { Store } from '../store/store'
import { openDevice, type Device } from './device'
import { usePhone, type Member, type Phone } from './phone'
import { PhoneSession } from './session.svelte'

const MAYA: Member = {
  member: 'maya',
  name: 'Maya',
  school: 'school',
  school_name: 'School',
  role: 'teacher',
  until: '2027-05-03',
}
const MAYA_ELSEWHERE: Member = { ...MAYA, member: 'maya-2', school: 'other', school_name: 'Other' }
const IDA: Member = { ...MAYA, member: 'ida', name: 'Ida', until: null }

let device: Device
let said: Record<string, Reply[]>
let asked: string[]
let reloads: number
let resumed: number
let broken: number
let sent: () => Promise<void>
let stores: Store[] = []

const ask: Ask = async (method, url, { body } = {}) => {
  const key = `${method} ${url.split('/').at(-1)}`
  asked.push(body === undefined ? key : `${key} ${JSON.stringify(body)}`)
  return said[key]?.shift() ?? SILENCE
}
const answer = (body: unknown): Reply => ({ is: 'answer', status: 200, body, etag: null })
const refusal = (status: number, wait_ms: number | null = null): Reply => ({
  is: 'refusal',
  status,
  problem: { code: '', pointer: null, wait_ms },
})
const nobody = () => answer({ signed_in: false, email: null, members: [] })
const signedIn = (...members: Member[]) =>
  answer({ signed_in: true, email: 'm@example.org', members })

async function started(): Promise<PhoneSession> {
  const session = new PhoneSession()
  await session.begin({
    device,
    ask,
    open(member) {
      const store = openStore(member.member)
      stores.push(store)
      usePhone({ store, sync: { now: () => sent() } } as unknown as Phone)
    },
    resume: () => resumed++,
    reload: () => reloads++,
    broke: () => broken++,
  })
  return session
}

beforeEach(async () => {
  stores.forEach((store) => store.close())
  stores = []
  globalThis.indexedDB = new IDBFactory()
  device = await openDevice()
  said = {}
  asked = []
  reloads = resumed = broken = 0
  sent = () => Promise.resolve()
})

test('a phone that nobody has used knows nobody until the server has answered', async () => {
  const session = await started()
  expect([session.member, session.signedIn]).toEqual([null, 'unknown'])
  said['GET session'] = [nobody()]
  expect(await session.ask()).toBe(true)
  expect([session.member, session.signedIn]).toEqual([null, 'ended'])
})

test('whoever signs in is remembered, and is there at the next start with no signal', async () => {
  const first = await started()
  said['POST login'] = [answer({})]
  said['PUT session'] = [answer({})]
  said['GET session'] = [signedIn(MAYA)]
  expect(await first.signIn('m@example.org', 'secret', true)).toEqual({ is: 'in' })
  expect(asked).toEqual([
    'POST login {"email":"m@example.org","password":"secret"}',
    'PUT session {"stay":true}',
    'GET session',
  ])
  expect([first.member, first.signedIn]).toEqual([MAYA, 'signed_in'])

  const second = await started()
  expect(await second.ask()).toBe(false)
  expect([second.member, second.signedIn, second.email]).toEqual([MAYA, 'unknown', 'm@example.org'])
})

test.each([
  [refusal(400), { is: 'wrong' }],
  [refusal(401), { is: 'wrong' }],
  [refusal(429, 300_000), { is: 'too_often', wait_ms: 300_000 }],
  [SILENCE, { is: 'no_signal' }],
])('a sign-in that is not taken says no more than that', async (reply, said_) => {
  const session = await started()
  said['POST login'] = [reply]
  expect(await session.signIn('m@example.org', 'x', false)).toEqual(said_)
  expect(session.member).toBeNull()
})

test('of several schools one is chosen; access that has ended is not, by itself', async () => {
  const session = await started()
  said['POST login'] = [answer({})]
  said['GET session'] = [signedIn(MAYA, MAYA_ELSEWHERE)]
  expect(await session.signIn('m@example.org', 'x', false)).toEqual({ is: 'choose' })
  expect([session.member, session.signedIn]).toEqual([null, 'signed_in'])
  await session.choose(MAYA_ELSEWHERE)
  expect([session.member, reloads]).toEqual([MAYA_ELSEWHERE, 0])

  await device.set('current', null)
  const later = await started()
  said['GET session'] = [signedIn({ ...MAYA, ended: true }, MAYA_ELSEWHERE)]
  await later.ask()
  expect(later.member).toEqual(MAYA_ELSEWHERE)
})

test('an account that no school knows today is told so', async () => {
  const session = await started()
  said['POST login'] = [answer({})]
  said['GET session'] = [signedIn()]
  expect(await session.signIn('m@example.org', 'x', false)).toEqual({ is: 'nowhere' })
})

test('whose access has ended is not asked to sign in again: she is', async () => {
  const session = await asMaya()
  said['GET session'] = [signedIn({ ...MAYA, ended: true })]
  await session.ask()
  session.ended()
  expect([session.member?.ended, session.signedIn]).toEqual([true, 'signed_in'])
})

async function asMaya(): Promise<PhoneSession> {
  await device.remember([MAYA])
  await device.set('current', 'maya')
  return started()
}

test('signed out by the server she logs on, and sends once she has signed in again', async () => {
  const session = await asMaya()
  said['GET session'] = [signedIn(MAYA)]
  await session.ask()
  session.ended()
  expect([session.member, session.signedIn]).toEqual([MAYA, 'ended'])
  said['POST login'] = [answer({})]
  said['GET session'] = [signedIn({ ...MAYA, until: null })]
  expect(await session.signIn('m@example.org', 'x', true)).toEqual({ is: 'in' })
  expect([session.member?.until, session.signedIn, resumed, reloads]).toEqual([
    null,
    'signed_in',
    1,
    0,
  ])
})

test('she signs in again on a phone that can write nothing more', async () => {
  await device.set('last_email', 'm@example.org')
  const session = await asMaya()
  session.ended()
  const full = () => Promise.reject(new DOMException('full', 'QuotaExceededError'))
  device.remember = device.set = full
  said['POST login'] = [answer({})]
  said['GET session'] = [signedIn(MAYA)]
  expect(await session.signIn('m@example.org', 'x', true)).toEqual({ is: 'in' })
  expect([session.signedIn, resumed, broken]).toEqual(['signed_in', 1, 1])
})

test('nobody is taken for somebody else while she is let in', async () => {
  const session = await asMaya()
  session.ended()
  said['GET session'] = [signedIn(MAYA)]
  const seen: unknown[] = []
  device.remember = async () => void seen.push([session.signedIn, session.members])
  await session.ask()
  expect(seen).toEqual([['signed_in', [MAYA]]])
})

test('somebody else who signs in over her lesson is not let into her rows', async () => {
  const session = await asMaya()
  said['POST login'] = [refusal(409), answer({})]
  said['DELETE session'] = [refusal(401)]
  said['GET session'] = [signedIn(IDA)]
  expect(await session.signIn('i@example.org', 'x', false)).toEqual({ is: 'other' })
  expect([session.member, session.signedIn, session.members]).toEqual([MAYA, 'ended', [IDA]])
  expect(reloads).toBe(0)
  await session.choose(IDA)
  expect([await device.get('current'), reloads]).toEqual(['ida', 1])
})

test('who comes before her first day is told where she is expected, until that day', async () => {
  const session = await started()
  const coming = [{ school_name: 'School', from: '2027-01-11' }]
  said['POST login'] = [answer({})]
  said['GET session'] = [answer({ signed_in: true, email: 'm@example.org', members: [], coming })]
  expect(await session.signIn('m@example.org', 'seven', false)).toEqual({ is: 'not_yet' })
  expect([session.coming, session.member, session.signedIn]).toEqual([coming, null, 'signed_in'])
  const later = await started()
  said['GET session'] = [signedIn(MAYA)]
  await later.ask()
  expect([later.coming, later.member]).toEqual([[], MAYA])
})

test('signing out waits for what is left to be sent, and leaves no documents', async () => {
  const session = await asMaya()
  const [store] = stores
  await store!.add(samples('attempts', 1))
  await store!.keep({ url: '/sheet', etag: null, body: {}, read_at: 1 })
  sent = () =>
    store!.settle(
      [{ id: 'attempts-0', state: 'stored', code: null, pointer: null, flags: [], version: null }],
      1,
    )
  said['DELETE session'] = [refusal(401)]
  expect(await session.signOut({ leaveRows: false })).toBe(true)
  expect(await store!.read('/sheet')).toBeUndefined()
  expect(await store!.all()).toHaveLength(1)
  expect([await device.get('current'), await device.get('sign_out_due'), reloads]).toEqual([
    null,
    false,
    1,
  ])
  expect((await started()).email).toBe('')
})

test('what cannot be sent is asked about, and stays on the phone for her', async () => {
  const session = await asMaya()
  const [store] = stores
  await store!.add([...samples('attempts', 2), sample('falls', 'fall')])
  expect(await session.signOut({ leaveRows: false })).toBe(false)
  expect([await device.get('current'), reloads]).toEqual(['maya', 0])
  expect(await session.signOut({ leaveRows: true })).toBe(true)
  const next = await started()
  expect(next.member).toBeNull()
  expect(await next.left()).toMatchObject([{ member: MAYA, waiting: 3, tries: 2 }])
})

test('who has signed out with no signal is not let in by the browser’s old session', async () => {
  const session = await asMaya()
  expect(await session.signOut({ leaveRows: true })).toBe(true)
  const next = await started()
  said['GET session'] = [signedIn(MAYA)]
  expect(await next.ask()).toBe(false)
  expect(next.member).toBeNull()
  said['DELETE session'] = [refusal(401)]
  said['GET session'] = [nobody()]
  expect(await next.ask()).toBe(true)
  expect(asked.slice(-2)).toEqual(['DELETE session', 'GET session'])
})

test('documents of whoever does not use this phone now go at the start', async () => {
  await device.remember([MAYA, IDA])
  await device.set('current', 'ida')
  const maya = openStore('maya')
  await maya.add(samples('attempts', 1))
  await maya.keep({ url: '/sheet', etag: null, body: {}, read_at: 1 })
  const session = await started()
  expect(session.member).toEqual(IDA)
  expect(await maya.read('/sheet')).toBeUndefined()
  expect(await maya.all()).toHaveLength(1)
  maya.close()
})

test('an invitation lets her in, or tells which field it does not go with', async () => {
  const session = await started()
  said['POST accept'] = [
    {
      is: 'refusal',
      status: 400,
      problem: { code: 'invalid', pointer: '/password', wait_ms: null },
    },
    answer({ email: 'm@example.org' }),
  ]
  expect(await session.accept('s', 'm@example.org', 'x')).toEqual({ pointer: '/password' })
  said['POST login'] = [answer({})]
  said['GET session'] = [signedIn(MAYA)]
  expect(await session.accept('s', 'm@example.org', 'xyz')).toEqual({ is: 'in' })
  expect(asked[0]).toBe('POST accept {"secret":"s","email":"m@example.org","password":"x"}')
})

/** What is left of a database that the browser cannot open any more. */
function unreadable(name: string) {
  const open = indexedDB.open.bind(indexedDB)
  indexedDB.open = (asked, version) => {
    if (asked === name) throw new DOMException('broken', 'UnknownError')
    return open(asked, version)
  }
}

test('the broken database of another member keeps nobody from her lesson', async () => {
  await device.remember([MAYA, IDA])
  await device.set('current', 'maya')
  unreadable('counterpoise-ida')
  const session = await started()
  expect([session.member, broken]).toEqual([MAYA, 1])
})

test('rows that wait are told of though another member’s cannot be read', async () => {
  await device.remember([MAYA, IDA])
  const maya = openStore('maya')
  await maya.add(samples('attempts', 1))
  maya.close()
  unreadable('counterpoise-ida')
  const session = await started()
  expect(await session.left()).toMatchObject([{ member: MAYA, waiting: 1 }])
})
