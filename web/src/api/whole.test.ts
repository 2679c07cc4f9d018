import { expect, test } from 'vitest'
import type { Ask, Asked } from './client'
import { SILENCE, type Reply } from './reply'
import { whole } from './whole'

const answer = (body: unknown, etag: string | null = null): Reply => ({
  is: 'answer',
  status: 200,
  body,
  etag,
})
const refusal: Reply = {
  is: 'refusal',
  status: 401,
  problem: { code: 'signed_out', pointer: null, wait_ms: null },
}

function server(...said: Reply[]) {
  const asked: [url: string, asked: Asked | undefined][] = []
  const ask: Ask = async (method, url, of) => {
    expect(method).toBe('GET')
    asked.push([url, of])
    return said.shift()!
  }
  return { ask, asked }
}

test('a list is read to its end, and told as one', async () => {
  const { ask, asked } = server(
    answer({ rows: [1, 2], next: 'a=' }, '"1"'),
    answer({ rows: [3], next: 'b' }),
    answer({ rows: [4], next: null }),
  )
  const reply = await whole(ask, '/list?limit=2', { etag: '"0"', member: 'maya' })
  expect(reply).toEqual(answer({ rows: [1, 2, 3, 4], next: null }))
  expect(asked).toEqual([
    ['/list?limit=2', { etag: '"0"', member: 'maya' }],
    ['/list?limit=2&cursor=a%3D', { etag: null, member: 'maya' }],
    ['/list?limit=2&cursor=b', { etag: null, member: 'maya' }],
  ])
})

test.each([
  ['a list of one page', answer({ rows: [1], next: null }, '"1"')],
  ['a document', answer({ rows: [1] }, '"1"')],
  ['what has not changed', { ...answer(null, '"1"'), status: 304 } as Reply],
  ['no answer', SILENCE],
])('%s is asked for once', async (_, said) => {
  const { ask, asked } = server(said)
  expect(await whole(ask, '/list', {})).toBe(said)
  expect(asked).toHaveLength(1)
})

test.each([
  ['a refusal', refusal, refusal],
  ['no answer', SILENCE, SILENCE],
  ['what is no page', answer({}), SILENCE],
])('%s on the way is the answer: half a list is none', async (_, said, told) => {
  const { ask } = server(answer({ rows: [1], next: 'a' }), said)
  expect(await whole(ask, '/list', {})).toEqual(told)
})
