import { expect, test } from 'vitest'
import { roleLines } from './impact'

const BEFORE = { skill: 'table', name: 'Table', stands: 'goes_on', says: 'goes on' } as const
const AFTER = { skill: 'table', name: 'High table', stands: 'missing', says: 'plank is missing' } as const

test('what is lost tells where she stands and where she would', () => {
  expect(roleLines({ role: 'base', what: 'loses', before: BEFORE, after: AFTER })).toEqual([
    'Loses readiness: High table, base',
    'Now: goes on',
    'Then: plank is missing',
  ])
})

test('a skill that is new there, or taught no more, says so', () => {
  expect(roleLines({ role: 'solo', what: 'gains', before: null, after: AFTER })[1]).toBe(
    'It is new there.',
  )
  const gone = roleLines({ role: 'solo', what: 'loses', before: BEFORE, after: null })
  expect(gone).toEqual(['Loses readiness: Table, solo', 'Now: goes on', 'It is taught no more.'])
})
