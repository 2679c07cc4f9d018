import { beforeEach, expect, test } from 'vitest'
import type { Asked } from '../api/client'
import { SILENCE, type Reply } from '../api/reply'
import { usePhone, type Phone } from '../shell/phone'
import { again } from '../signin/again.svelte'
import { atDesk } from '../words/at-desk'
import { Sending } from './sending.svelte'

let reply: Reply
let asked: Asked | undefined
beforeEach(() => {
  const phone: Partial<Phone> = {
    ask: async (_method, _url, said) => {
      asked = said
      return reply
    },
  }
  usePhone(phone as Phone)
  again.open = false
})

function refusal(status: number, body: object, code = 'invalid'): Reply {
  return { is: 'refusal', status, body, problem: { code, pointer: null, wait_ms: null } }
}

test('of what stands only what differs is sent, of a further one all', async () => {
  const sending = new Sending()
  reply = { is: 'answer', status: 200, body: null, etag: null }
  const [before, now] = [{ name: 'Mill', mats: 4 }, { name: 'Mill', mats: 6 }]
  await sending.keep('/x', { id: '1' }, before, now)
  expect(asked?.body).toEqual({ mats: 6 })
  await sending.keep('/x', null, before, now)
  expect(asked?.body).toEqual(now)
})

test('a fault stands at its field, and one of no field is said of the whole', async () => {
  const sending = new Sending()
  expect(sending.at('/name')).toBeNull()
  const errors = [
    { pointer: '/name', detail: 'another is called so' },
    { pointer: '/rows/0/class', detail: 'unknown' },
  ]
  reply = refusal(400, { errors: errors.slice(0, 1) })
  expect(await sending.send('POST', '/x')).toBeNull()
  expect(sending.at('/name')).toBe('another is called so')
  expect(sending.trouble).toBe(atDesk.desk.lookAtFields)

  reply = refusal(400, { errors })
  await sending.send('POST', '/x')
  expect(sending.trouble).toBe(atDesk.desk.refused('unknown'))
  expect(sending.at('/name')).toBe('another is called so')
})

test('a field in which nothing stands is to be filled in, whatever the API calls that', async () => {
  const sending = new Sending()
  const fields = ['blank', 'null', 'required'].map((code) => [`/${code}`, code] as const)
  for (const [pointer] of fields) sending.at(pointer)
  reply = refusal(400, {
    errors: fields.map(([pointer, code]) => ({ pointer, code, detail: 'This field may not be so.' })),
  })
  await sending.send('POST', '/x')
  for (const [pointer] of fields) expect(sending.at(pointer)).toBe(atDesk.desk.fillIn)
})

test('after a refusal the next answer leaves no fault standing', async () => {
  const sending = new Sending()
  sending.at('/name')
  reply = refusal(400, { errors: [{ pointer: '/name', detail: 'missing' }] })
  await sending.send('POST', '/x', { body: { name: '' } })
  reply = { is: 'answer', status: 201, body: { id: '1' }, etag: '"v1"' }
  expect(await sending.send('POST', '/x', { body: { name: 'a' }, fresh: true })).toEqual({
    body: { id: '1' },
    etag: '"v1"',
  })
  expect(asked).toEqual({ body: { name: 'a' }, fresh: true })
  expect([sending.at('/name'), sending.trouble, sending.saved, sending.busy]).toEqual([
    null,
    null,
    true,
    false,
  ])
  sending.touch()
  expect(sending.saved).toBe(false)
})

test('with no signal it says that nothing was saved', async () => {
  const sending = new Sending()
  reply = SILENCE
  expect(await sending.send('PATCH', '/x')).toBeNull()
  expect([sending.trouble, sending.saved]).toEqual([atDesk.desk.notSent, false])
})

test('what is asked before it goes on is kept until something else is filled in', async () => {
  const sending = new Sending()
  reply = refusal(409, { detail: 'Is it as meant?' }, 'conflict')
  await sending.send('POST', '/x')
  expect(sending.refused).toEqual({ status: 409, body: { detail: 'Is it as meant?' } })
  sending.touch()
  expect(sending.refused).toBeNull()
})

test.each([
  [401, 'signed_out'],
  [409, 'other_member'],
])('whom the server does not know any more (%i) it asks to sign in', async (status, code) => {
  const sending = new Sending()
  reply = refusal(status, { detail: 'Sign in first' }, code)
  await sending.send('POST', '/x')
  expect(sending.trouble).toBe(atDesk.desk.signInToSave)
  expect(sending.refused).toBeNull()
  expect(again.open).toBe(true)
})
