import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { changes } from '../desk/said'
import { atDesk } from '../words/at-desk'
import { BOUNDS, fieldsOf, GROUPS, saidOf, type Policy } from './policy'

const CONTRACT = fileURLToPath(new URL('../../../docs/openapi.json', import.meta.url))
const { schemas } = JSON.parse(readFileSync(CONTRACT, 'utf-8')).components
const PROPERTIES: Record<string, { minimum?: number; maximum?: number }> =
  schemas.PatchedPolicyChange.properties

test('every field of the policy stands in one group, with its words', () => {
  const columns = GROUPS.flatMap((group) => group.columns)
  expect([...columns].sort()).toEqual(Object.keys(schemas.Policy.properties).sort())
  expect(new Set(columns).size).toBe(columns.length)
  for (const column of columns) expect(atDesk.school.policy[column].does).not.toBe('')
})

test('the bounds that are told are those of the contract', () => {
  const told = Object.entries(PROPERTIES)
    .filter(([, { maximum }]) => maximum !== undefined)
    .map(([column, { minimum, maximum }]) => [column, [minimum, maximum]])
  expect(BOUNDS).toEqual(Object.fromEntries(told))
})

test('what was read and not touched is not sent', () => {
  const policy = { bar: 0.8, uses_mass: false } as Policy
  const fields = fieldsOf(policy, ['bar', 'uses_mass'])
  const before = saidOf(fields)
  expect(before).toEqual(policy)
  fields.texts.bar = '0,85'
  expect(changes(before, saidOf(fields))).toEqual({ bar: 0.85 })
})
