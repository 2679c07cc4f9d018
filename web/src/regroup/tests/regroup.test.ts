import fc from 'fast-check'
import { expect, test, vi } from 'vitest'
import { check, latecomer, leastChange, leaves, propose } from '../index'
import type { Formed, Tonight, Worth } from '../tonight'
import { bestWorth, Slow } from './brute'
import { evening, table, tonightWith } from './tables'

const RUNS = { numRuns: Number(process.env['RUNS'] ?? 100) }
vi.setConfig({ testTimeout: 600_000 })

const levels = ({ table: { keep_partners } }: Tonight, worth: Worth) => [
  worth.placed,
  worth.kept,
  worth.fairness,
  -worth.asks,
  keep_partners ? worth.repeats : -worth.repeats,
]
const seatsOf = (groups: readonly Formed[]) => groups.map(({ seats }) => seats)
const studentsOf = (groups: readonly Formed[]) =>
  seatsOf(groups).flatMap((seats) => Object.values(seats).flat())

/** Only those who are here, as the groups before count. */
const hereOf = ({ here }: Tonight, groups: readonly Formed[]) =>
  seatsOf(groups).map((seats) =>
    Object.fromEntries(
      Object.entries(seats)
        .map(([role, held]) => [role, held.filter((id) => here.includes(id))] as const)
        .filter(([, held]) => held.length),
    ),
  )

test('nothing is worth more than what is proposed', () => {
  fc.assert(
    fc.property(table, (said) => {
      const tonight = tonightWith(said)
      expect(levels(tonight, propose(tonight).worth)).toEqual(bestWorth(tonight, []))
    }),
    RUNS,
  )
})

test('nothing keeps more of what stood', () => {
  fc.assert(
    fc.property(evening, ({ tonight, formed }) => {
      const open = formed.map((group) => ({ ...group, locked: false }))
      const { worth } = propose(tonight, open)
      expect(levels(tonight, worth)).toEqual(bestWorth(tonight, hereOf(tonight, open)))
    }),
    RUNS,
  )
})

test('what is proposed may be proposed, and is worth what it says', () => {
  fc.assert(
    fc.property(evening, ({ tonight, formed }) => {
      const slow = new Slow(tonight, hereOf(tonight, formed))
      const { groups, stillToPlace, worth } = propose(tonight, formed)
      const fixed = groups.filter(({ locked }) => locked)
      for (const { seats, locked } of groups) expect(locked || slow.proposable(seats)).toBe(true)
      expect(slow.worth(seatsOf(groups))).toEqual(worth)
      const left = stillToPlace.map(({ student }) => student.id)
      expect([...studentsOf(groups), ...left].sort()).toEqual([...tonight.here].sort())
      expect(groups.length - fixed.length).toBeLessThanOrEqual(tonight.table.groups_at_most)
    }),
    RUNS,
  )
})

test('a locked group that nothing stops is kept as it is', () => {
  fc.assert(
    fc.property(evening, ({ tonight, formed }) => {
      const { groups } = check(tonight, formed)
      const locked = groups.filter((group) => group.locked && !group.stops.length)
      const after = new Map(propose(tonight, formed).groups.map((group) => [group.id, group]))
      for (const { id, seats } of locked)
        expect(after.get(id)).toMatchObject({ seats, locked: true })
    }),
    RUNS,
  )
})

test('the order in which children, groups and sets are told changes nothing', () => {
  fc.assert(
    fc.property(evening, fc.infiniteStream(fc.nat()), ({ tonight, formed }, dice) => {
      const mixed = <T>(all: readonly T[]) =>
        all
          .map((one) => [one, dice.next().value ?? 0] as const)
          .sort(([, one], [, other]) => one - other)
          .map(([one]) => one)
      const { table: said } = tonight
      const other = {
        ...tonight,
        here: mixed(tonight.here),
        table: {
          ...said,
          sets: mixed(said.sets).map(({ bases, ask, stop }) => ({
            bases: mixed(bases),
            ask: mixed(ask.map(mixed)),
            stop: mixed(stop.map(mixed)),
          })),
          agreed: mixed(said.agreed),
          not_with: mixed(said.not_with).map(mixed),
          only_with: mixed(said.only_with).map(mixed),
          past_pairs: mixed(said.past_pairs).map(([a = 0, b = 0, count = 0]) => [
            ...mixed([a, b]),
            count,
          ]),
        },
      }
      expect(propose(other, formed)).toEqual(propose(tonight, formed))
    }),
    RUNS,
  )
})

test('after the least change nothing stops, and what only asked stays', () => {
  fc.assert(
    fc.property(evening, ({ tonight, formed }) => {
      const before = check(tonight, formed)
      const stopped = before.stops.length > 0 || before.groups.some(({ stops }) => stops.length)
      const after = leastChange(tonight, formed)
      expect(after !== null).toBe(stopped)
      if (!after) return
      const open = check(tonight, after.groups).groups.filter(({ locked }) => !locked)
      expect(open.flatMap(({ stops }) => stops)).toEqual([])
      expect(after.changes.flatMap(({ sentence }) => sentence.trim())).not.toContain('')
    }),
    RUNS,
  )
})

test('nobody gives up a place for a child who comes late', () => {
  fc.assert(
    fc.property(evening, ({ tonight, formed }) => {
      const standing = check(tonight, formed).groups.filter(({ stops }) => !stops.length)
      const student = tonight.here.find((id) => !studentsOf(formed).includes(id))
      if (student === undefined) return
      const found = latecomer(tonight, formed, student)
      if (!found.placed) return
      const seated = studentsOf(found.groups)
      for (const id of [student, ...studentsOf(standing)]) expect(seated).toContain(id)
      expect(new Set(seated).size).toBe(seated.length)
    }),
    RUNS,
  )
})

test('when a child leaves, others move only so that nothing stops', () => {
  fc.assert(
    fc.property(evening, fc.nat(2), ({ tonight, formed }, at) => {
      const group = formed[at]
      const student = group && studentsOf([group])[0]
      if (!group || group.locked || student === undefined) return
      const { groups } = leaves(tonight, formed, student)
      expect(studentsOf(groups)).not.toContain(student)
      const after = new Map(groups.map(({ id, seats }) => [id, seats]))
      const stayed = formed.filter((one) => one !== group)
      const untouched = stayed.every(({ id, seats }) => isSame(seats, after.get(id)))
      const here = tonight.here.filter((id) => id !== student)
      const open = check({ ...tonight, here }, groups).groups.filter(({ locked }) => !locked)
      expect(untouched || open.every(({ stops }) => !stops.length)).toBe(true)
    }),
    RUNS,
  )
})

const isSame = (one: Formed['seats'], other: Formed['seats'] = {}) =>
  Object.keys({ ...one, ...other }).every(
    (role) => [...(one[role] ?? [])].sort().join() === [...(other[role] ?? [])].sort().join(),
  )
