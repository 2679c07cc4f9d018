import { beforeEach, expect, test } from 'vitest'
import type { Heard } from '../api/client'
import { SILENCE, type Reply } from '../api/reply'
import { hears } from './hears'

let news: string[]
let now: number
let hear: (heard: Heard) => void

beforeEach(() => {
  news = []
  now = 50_000
  const tell = (what: string) => () => void news.push(what)
  hear = hears({
    now: () => now,
    measure: tell('measure'),
    ended: tell('ended'),
    other: tell('other'),
    signal: tell('signal'),
  })
})

const heard = (reply: Reply): Heard => ({ reply, sent_at: 1, received_at: 2, date: null })
const ANSWER: Reply = { is: 'answer', status: 200, body: {}, etag: null }
const refusal = (code: string): Reply => ({
  is: 'refusal',
  status: 400,
  problem: { code, pointer: null, wait_ms: null },
})

test('each answer measures the clock, and silence does not', () => {
  for (const reply of [ANSWER, SILENCE, refusal('invalid')]) hear(heard(reply))
  expect(news).toEqual(['measure', 'measure', 'signal'])
})

test('a refusal may say that nobody is signed in, or somebody else', () => {
  hear(heard(refusal('signed_out')))
  hear(heard(refusal('other_member')))
  expect(news).toEqual(['measure', 'ended', 'measure', 'other'])
})

test('the first answer after silence is a signal', () => {
  for (const reply of [SILENCE, SILENCE, ANSWER, ANSWER]) hear(heard(reply))
  expect(news.filter((one) => one === 'signal')).toHaveLength(1)
})

test('a server of which half answers is no signal again and again', () => {
  for (let time = 0; time < 25; time++) {
    now += 1_000
    hear(heard(SILENCE))
    hear(heard(ANSWER))
  }
  expect(news.filter((one) => one === 'signal')).toHaveLength(3)
})

test('a clock that was put back does not keep a signal from being one', () => {
  hear(heard(SILENCE))
  hear(heard(ANSWER))
  now -= 30_000
  hear(heard(SILENCE))
  hear(heard(ANSWER))
  expect(news.filter((one) => one === 'signal')).toHaveLength(2)
})
