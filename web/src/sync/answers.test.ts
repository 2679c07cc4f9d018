import { expect, test } from 'vitest'
import { sample, samples } from '../store/sample'
import { answersIn } from './answers'

const sent = samples('attempts', 2)

test.each([null, 7, 'x', [], {}, { rows: {} }, { rows: [null, 7, {}, { id: 'attempts-0' }] }])(
  'nothing is understood of %j',
  (body) => {
    expect(answersIn(body, sent)).toEqual([])
  },
)

test('answers are matched by id, the first of two counts, and strangers are left out', () => {
  const body = {
    rows: [
      { id: 'attempts-1', status: 'held' },
      { id: 'stranger', status: 'stored' },
      { id: 'attempts-1', status: 'refused' },
      { id: 'attempts-0', status: 'already_stored', flags: ['clock', 7], code: 7, version: 'v' },
    ],
  }
  const rest = { code: null, pointer: null, version: null }
  expect(answersIn(body, sent)).toEqual([
    { id: 'attempts-1', state: 'held', flags: [], ...rest },
    { id: 'attempts-0', state: 'stored', flags: ['clock'], ...rest },
  ])
})

test('groups come with the version that stands', () => {
  const body = {
    rows: [{ id: 'one', status: 'refused', code: 'newer', pointer: '/x', version: 5 }],
  }
  expect(answersIn(body, [sample('groups', 'one')])).toEqual([
    { id: 'one', state: 'refused', code: 'newer', pointer: '/x', flags: [], version: 5 },
  ])
})
