import { expect, test } from 'vitest'
import type { Ask, Asked } from '../../api/client'
import type { Reply } from '../../api/reply'
import { answerTo, lock, pass } from '../signal'
import { group, groups } from './evening'

const PLACE = { lesson: 'L', skill: 'seat', member: 'M' }
const SEATS = { base: ['Amara'], flyer: ['Bao'] }
const PAIR = { code: 'pair', sentence: '', students: ['Amara', 'Bao'], role: null }
const OF_THE_PHONE = { code: 'ask', sentence: '', students: ['Bao'], role: 'flyer' }

const answer = (body: unknown): Reply => ({ is: 'answer', status: 200, body, etag: null })
const refusal: Reply = {
  is: 'refusal',
  status: 409,
  problem: { code: 'conflict', pointer: null, wait_ms: null },
}

function server(...replies: Reply[]) {
  const heard: [string, Asked['body']][] = []
  const ask: Ask = async (_, url, asked) => {
    heard.push([url, asked?.body])
    return replies.shift() ?? { is: 'silence' }
  }
  return { ask, heard }
}

test('an ask that has a code of its own is passed at once', async () => {
  const { ask, heard } = server(answer({}))
  expect(await pass(ask, PLACE, PAIR, SEATS, 'seen')).toBe('done')
  expect(heard).toEqual([
    [
      '/api/v1/lessons/L/asks',
      { skill: 'seat', code: 'pair', students: ['Amara', 'Bao'], role: null, reason: 'seen' },
    ],
  ])
})

test('what the phone only calls an ask is looked up: the same child in the same role', async () => {
  const asks = [
    { code: 'not_ready', sentence: '', students: ['Amara'], role: 'base' },
    { code: 'not_ready', sentence: '', students: ['Bao'], role: 'flyer' },
    { code: 'back', sentence: '', students: ['Bao'], role: null },
    PAIR,
  ]
  const told = groups('seat', [group(SEATS, { asks })])
  const { ask, heard } = server(answer(told), answer({}), answer({}))
  expect(await pass(ask, PLACE, OF_THE_PHONE, SEATS, 'in_parts')).toBe('done')
  expect(heard.map(([url]) => url)).toEqual([
    '/api/v1/lessons/L/groups/check',
    '/api/v1/lessons/L/asks',
    '/api/v1/lessons/L/asks',
  ])
  expect(heard.slice(1).map(([, body]) => body)).toEqual([
    { skill: 'seat', code: 'not_ready', students: ['Bao'], role: 'flyer', reason: 'in_parts' },
    { skill: 'seat', code: 'back', students: ['Bao'], role: null, reason: 'in_parts' },
  ])
})

test('where nothing asks any more nothing is passed', async () => {
  const { ask, heard } = server(answer(groups('seat', [group(SEATS)])))
  expect(await pass(ask, PLACE, OF_THE_PHONE, SEATS, 'seen')).toBe('none')
  expect(heard).toHaveLength(1)
})

test('no signal and a refusal are told apart, and nothing more is asked after either', async () => {
  expect(await pass(server().ask, PLACE, PAIR, SEATS, 'seen')).toBe('no_signal')
  expect(await pass(server().ask, PLACE, OF_THE_PHONE, SEATS, 'seen')).toBe('no_signal')
  const refused = server(refusal)
  expect(await pass(refused.ask, PLACE, OF_THE_PHONE, SEATS, 'seen')).toBe('refused')
  expect(refused.heard).toHaveLength(1)
})

test('only what is asked of a role names one', () => {
  const found = (code: string) => ({ code, sentence: '', students: ['Bao'], role: 'flyer' })
  expect(answerTo('seat', found('yes'), 'seen').role).toBe('flyer')
  expect(answerTo('seat', found('height'), 'seen').role).toBe(null)
})

test('a lock names the version it was made from', async () => {
  let said: Asked | undefined
  const ask: Ask = async (_, __, asked) => {
    said = asked
    return answer({})
  }
  expect(await lock(ask, PLACE, 3, 'g', true)).toBe('done')
  expect(said).toEqual({ body: { group: 'g', locked: true }, version: '"v3"', member: 'M' })
})
