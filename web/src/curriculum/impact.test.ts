import { expect, test } from 'vitest'
import { comeOrGo, roleLines } from './impact'

const BEFORE = { skill: 'table', name: 'Table', stands: 'goes_on', says: 'goes on' } as const
const AFTER = { skill: 'table', name: 'High table', stands: 'missing', says: 'plank is missing' } as const
const LOST = { role: 'base', what: 'loses', before: BEFORE, after: AFTER } as const
const NEW = { role: 'solo', what: 'gains', before: null, after: AFTER } as const
const GONE = { role: 'solo', what: 'loses', before: BEFORE, after: null } as const

test('what is lost tells where she stands and where she would', () => {
  expect(roleLines(LOST)).toEqual([
    'Loses readiness: High table, base',
    'Now: goes on',
    'Then: plank is missing',
  ])
})

test('what is new there, or taught no more, is said once with all who are ready for it', () => {
  const children = [
    { student: { id: '1', name: 'Amara' }, roles: [NEW, LOST, GONE] },
    { student: { id: '2', name: 'Bao' }, roles: [GONE] },
  ]
  expect(comeOrGo(children)).toEqual([
    'New there: High table, solo. Ready for it: Amara.',
    'Taught no more: Table, solo. Ready for it: Amara and Bao.',
  ])
  expect([NEW, GONE].flatMap(roleLines)).toEqual([])
})
