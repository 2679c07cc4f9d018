import { beforeEach, expect, test } from 'vitest'
import { client, type Ask, type Heard } from './client'

const PROBLEM = 'application/problem+json'
type Said = (url: string, init: RequestInit) => Response | Promise<Response>

let said: Said[]
let asked: { method: string; url: string; headers: Record<string, string>; body: unknown }[]
let heard: Heard[]
let cookies: string
let ask: Ask

beforeEach(() => {
  said = []
  asked = []
  heard = []
  cookies = 'other=1; csrftoken=abc'
  let now = 1_000
  ask = client({
    fetch: async (url, init) => {
      asked.push({
        method: init.method!,
        url,
        headers: init.headers as Record<string, string>,
        body: init.body ?? null,
      })
      return said.shift()!(url, init)
    },
    cookies: () => cookies,
    now: () => (now += 10),
    heard: (one) => heard.push(one),
  })
})

const json =
  (body: unknown, status = 200, headers: Record<string, string> = {}) =>
  () =>
    new Response(JSON.stringify(body), {
      status,
      headers: { 'Content-Type': status < 400 ? 'application/json' : PROBLEM, ...headers },
    })

test('a document comes with its tag, and is asked for with what is known', async () => {
  said = [json({ a: 1 }, 200, { ETag: 'W/"2"' }), () => new Response(null, { status: 304 })]
  expect(await ask('GET', '/x', { etag: '"1"', member: 'm' })).toEqual({
    is: 'answer',
    status: 200,
    body: { a: 1 },
    etag: 'W/"2"',
  })
  expect(await ask('GET', '/x')).toMatchObject({ is: 'answer', status: 304 })
  expect(asked.map(({ headers }) => headers)).toEqual([
    { Accept: 'application/json', 'If-None-Match': '"1"', 'X-Member': 'm' },
    { Accept: 'application/json' },
  ])
})

test('a file is sent as it is', async () => {
  said = [json({ ok: true })]
  await ask('POST', '/x', { file: { type: 'application/yaml', content: 'name: "x"' } })
  expect(asked[0]).toMatchObject({
    headers: { 'Content-Type': 'application/yaml' },
    body: 'name: "x"',
  })
})

test('a change carries the token, the member and the version that was read', async () => {
  said = [json({ ok: true })]
  await ask('POST', '/x', { body: { a: 1 }, member: 'm', version: '"v3"' })
  expect(asked).toEqual([
    {
      method: 'POST',
      url: '/x',
      body: '{"a":1}',
      headers: {
        Accept: 'application/json',
        'Content-Type': 'application/json',
        'X-Member': 'm',
        'If-Match': '"v3"',
        'X-CSRFToken': 'abc',
      },
    },
  ])
})

test('what is made anew takes the place of nothing that is there', async () => {
  await ask('PUT', '/x', { body: {}, fresh: true })
  expect(asked[0]!.headers['If-None-Match']).toBe('*')
})

test('without a token the server is asked for one first', async () => {
  cookies = ''
  said = [
    () => {
      cookies = 'csrftoken=new'
      return json({ signed_in: false })()
    },
    json({}),
  ]
  await ask('POST', '/x')
  expect(asked.map(({ method, url }) => [method, url])).toEqual([
    ['GET', '/api/v1/session'],
    ['POST', '/x'],
  ])
  expect(asked[1]!.headers['X-CSRFToken']).toBe('new')
})

test('a token that does not hold is renewed once, and no more', async () => {
  const refused = json({ code: 'csrf_failed' }, 403)
  const renewed: Said = () => {
    cookies = 'csrftoken=new'
    return json({})()
  }
  said = [refused, renewed, json({ ok: 1 })]
  expect(await ask('POST', '/x')).toMatchObject({ is: 'answer', body: { ok: 1 } })
  said = [refused, renewed, refused]
  expect(await ask('POST', '/x')).toMatchObject({ is: 'refusal', problem: { code: 'csrf_failed' } })
  expect(said).toEqual([])
})

test('a refusal tells its code, the field and how long to wait', async () => {
  const errors = [{ pointer: '/rows/0/on', code: 'required', detail: '' }]
  said = [
    json({ code: 'invalid', errors }, 400),
    json({ code: 'too_many' }, 429, { 'Retry-After': '7' }),
  ]
  expect(await ask('GET', '/x')).toEqual({
    is: 'refusal',
    status: 400,
    problem: { code: 'invalid', pointer: '/rows/0/on', wait_ms: null },
    body: { code: 'invalid', errors },
  })
  expect(await ask('GET', '/x')).toEqual({
    is: 'refusal',
    status: 429,
    problem: { code: 'too_many', pointer: null, wait_ms: 7_000 },
    body: { code: 'too_many' },
  })
})

test('a sign-in that is refused in another shape is a refusal all the same', async () => {
  said = [json({ status: 400, errors: [{ message: 'no', code: 'email_password_mismatch' }] }, 400)]
  expect(await ask('POST', '/x')).toMatchObject({
    is: 'refusal',
    status: 400,
    problem: { code: 'email_password_mismatch' },
  })
})

const html = (status: number) => () =>
  new Response('<p>Sign in to the hall', { status, headers: { 'Content-Type': 'text/html' } })

test.each([200, 400, 401, 403, 404, 409, 410, 500, 503])(
  'a page with status %i is silence',
  async (status) => {
    said = [html(status)]
    expect(await ask('GET', '/x')).toEqual({ is: 'silence' })
  },
)

test.each([
  [413, 'too_large'],
  [429, 'too_many'],
])('%i counts whoever says it', async (status, code) => {
  said = [html(status)]
  expect(await ask('GET', '/x')).toMatchObject({ is: 'refusal', status, problem: { code } })
})

test.each([500, 502, 503])('a problem with status %i is silence', async (status) => {
  said = [json({ code: 'broken' }, status)]
  expect(await ask('GET', '/x')).toEqual({ is: 'silence' })
})

test('JSON that breaks off is silence', async () => {
  said = [() => new Response('{"rows": [', { headers: { 'Content-Type': 'application/json' } })]
  expect(await ask('GET', '/x')).toEqual({ is: 'silence' })
})

test('no signal, and an answer that never comes, are silence', async () => {
  said = [
    () => Promise.reject(new TypeError('Failed to fetch')),
    (_url, { signal }) =>
      new Promise((_resolve, reject) =>
        signal!.addEventListener('abort', () => reject(signal!.reason)),
      ),
  ]
  expect(await ask('GET', '/x')).toEqual({ is: 'silence' })
  expect(await ask('GET', '/x', { patience_ms: 20 })).toEqual({ is: 'silence' })
  expect(heard.map(({ reply }) => reply.is)).toEqual(['silence', 'silence'])
})

test('a mistake of our own is no silence', async () => {
  said = [() => Promise.reject(new RangeError('ours'))]
  await expect(ask('GET', '/x')).rejects.toThrow('ours')
})

test('each answer tells when it was asked for and came, and the time there', async () => {
  const Date = 'Tue, 01 Dec 2026 12:00:00 GMT'
  said = [json({}, 200, { Date })]
  await ask('GET', '/x')
  expect(heard).toMatchObject([{ sent_at: 1_010, received_at: 1_020, date: Date }])
})
