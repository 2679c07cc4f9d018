import { expect, test, vi } from 'vitest'
import { check, type Formed, latecomer, leastChange, propose } from '../index'
import { seatingOf } from '../formed'
import { proposable, stated } from '../problem'
import { searched, solve } from '../solve'
import { Table } from '../table'
import { weightsOf } from '../weights'
import { worthOf } from '../worth'
import { cases, tonightOf } from './cases'
import { kept } from './brute'

vi.setConfig({ testTimeout: 60_000 })

const named = cases.map((one) => [one.name, one] as const)
const withGroups = cases.flatMap((one) =>
  one.checked ? [[one.name, one, one.checked] as const] : [],
)
const withLate = withGroups.flatMap(([name, one, { late }]) =>
  late ? [[name, one, late] as const] : [],
)

test.each(named)('%s: worth what the engine makes of it', (_, one) => {
  const { worth, proven } = propose(tonightOf(one), one.before)
  const levels = one.comparable.map((level) => [level, worth[level]])
  expect(levels).toEqual(one.comparable.map((level) => [level, one.best[level]]))
  expect(proven).toBe(true)
})

test.each(named)(
  '%s: found in windows, as many are placed and nothing breaks a rule',
  (_, one) => {
    const tonight = tonightOf(one)
    const table = new Table(one.table)
    const here = new Set(one.here)
    const formed = one.before.map((group) => seatingOf(table, here, group))
    const problem = stated(tonight, table, { formed, locked: [] })
    const proven = worthOf(problem, solve(problem).groups)
    const groups = searched(problem, weightsOf(problem), problem.free, formed)
    const carried = groups.map(({ stood }) => stood).filter((stood) => stood !== null)
    expect(new Set(carried).size).toBe(carried.length)
    const seats = groups.map((group) => group.seats)
    expect(worthOf(problem, seats).placed).toBe(proven.placed)
    expect(seats.filter((group) => !proposable(problem, group))).toEqual([])
    expect(seats.length).toBeLessThanOrEqual(problem.groupsAtMost)
    const members = seats.flatMap((group) => Object.values(group).flat())
    expect(new Set(members).size).toBe(members.length)
  },
)

test.each(named.filter(([, one]) => one.table.covers !== 'nobody'))(
  '%s: why each child could be left',
  (_, one) => {
    const reasons = check(tonightOf(one), []).stillToPlace.map(({ student, reason }) => [
      student.id,
      reason,
    ])
    expect(Object.fromEntries(reasons)).toEqual(one.reasons)
  },
)

test.each(withGroups)('%s: the same stops, asks and turns as the service', (_, one, expected) => {
  const found = check(tonightOf(one), one.before)
  const sentences = (some: readonly { sentence: string }[]) =>
    some.map(({ sentence }) => sentence)
  expect(sentences(found.stops)).toEqual(expected.stops)
  expect(
    found.groups.map(({ stops, asks, turn }) => ({
      stops: sentences(stops),
      asks: sentences(asks).sort(),
      turn,
    })),
  ).toEqual(expected.groups)
})

test.each(withGroups)('%s: as little changes', (_, one, expected) => {
  const after = leastChange(tonightOf(one), one.before)
  expect(after && keptOf(one, after.groups)).toBe(expected.kept)
})

test.each(withLate)('%s: a place for who comes late', (_, one, late) => {
  const found = latecomer(tonightOf(one), one.before, late.child)
  expect(found.placed).toBe(late.kept !== null)
  if (!found.placed) return
  expect(keptOf(one, found.groups)).toBe(late.kept)
  if (late.groups) expect(found.groups.map(({ seats }) => seats)).toEqual(late.groups)
})

/** Of those who are here. */
function keptOf(one: (typeof cases)[number], groups: readonly Formed[]): number {
  const here = (seats: Formed['seats']) =>
    Object.fromEntries(
      Object.entries(seats).map(([role, held]) => [
        role,
        held.filter((id) => one.here.includes(id)),
      ]),
    )
  return kept(
    one.before.map(({ seats }) => here(seats)),
    groups.map(({ seats }) => here(seats)),
  )
}
