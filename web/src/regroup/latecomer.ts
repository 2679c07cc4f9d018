/** A child who comes late, and one who leaves: nobody else moves unless it cannot be done. */

import { words } from '../words/words'
import { checkedGroups, classStops } from './check'
import { allOf, type CarriedOn, copy, seatingOf, seatsOf, studentsOf } from './formed'
import { without } from './hands'
import { left } from './left'
import { changesOf, mended } from './least-change'
import { asksOf, placesOf, proposable, type Problem, stated } from './problem'
import { placedIn, regrouped } from './regroup'
import { PROVEN } from './solve'
import { type Seating, Table } from './table'
import type { CheckedGroup, Formed, Group, Latecomer, Leaves, TakenIn, Tonight } from './tonight'

const said = words.regroup

/** At the end of a line, else in a free place, else by the least change that leaves nobody over who
 * has a place. */
export const latecomer: Latecomer = (tonight, groups, student) => {
  const table = new Table(tonight.table)
  const name = tonight.names.get(student) ?? said.left
  const no = (sentence: string): TakenIn => ({ placed: false, sentence })
  if (groups.some((group) => studentsOf(group).includes(student))) return no(said.hasAPlace(name))
  if (!tonight.here.includes(student)) return no(said.notHereForIt(name))
  const [stop] = classStops(tonight)
  if (stop) return no(stop.sentence)
  const at = table.place(student)
  const after =
    at === undefined
      ? null
      : (inFreePlace(tonight, table, groups, at) ?? withAPlace(tonight, table, groups, at))
  if (after)
    return { placed: true, groups: allOf(after), changes: changesOf(tonight, groups, after) }
  const why = left(tonight, table, groups).find((one) => one.student.id === student)
  return no(said.ofChild(name, why?.sentence ?? said.anotherHold))
}

/** Whoever waits may take her place where that moves nobody; else what is left stands as it is, if
 * nothing stops it, or changes the least. A locked group is a teacher's to change. */
export const leaves: Leaves = (before, groups, student) => {
  const tonight = { ...before, here: before.here.filter((id) => id !== student) }
  const table = new Table(tonight.table)
  const hers = groups.findIndex((group) => studentsOf(group).includes(student))
  const after =
    hers < 0 || groups[hers]?.locked
      ? { became: groups.map(copy), fresh: [] }
      : (refilled(tonight, table, groups, student, hers) ??
        closedUp(tonight, table, groups, student, hers))
  return { groups: allOf(after), changes: changesOf(tonight, groups, after) }
}

function formedProblem(tonight: Tonight, table: Table, groups: readonly Formed[]): Problem {
  const here = new Set(tonight.here)
  return stated(tonight, table, {
    formed: groups.map((group) => seatingOf(table, here, group)),
    locked: [],
  })
}

/** The groups with one of them seated anew. */
function reseated(
  table: Table,
  groups: readonly Formed[],
  index: number,
  seats: Seating,
): CarriedOn {
  const became: Group[] = groups.map(copy)
  const old = groups[index]
  if (old) became[index] = { id: old.id, locked: old.locked, seats: seatsOf(table, seats) }
  return { became, fresh: [] }
}

function inFreePlace(tonight: Tonight, table: Table, groups: readonly Formed[], child: number) {
  const problem = formedProblem(tonight, table, groups)
  const here = new Set(tonight.here)
  const open = checkedGroups(tonight, table, groups).filter((group) => isOpen(table, group))
  for (const group of open.reverse()) {
    for (const seats of withOneMore(table, seatingOf(table, here, group), child)) {
      if (proposable(problem, seats)) return reseated(table, groups, group.number - 1, seats)
    }
  }
  return null
}

/** Whether somebody may come in: it is not locked, nothing stops it, the table knows all of it. */
const isOpen = (table: Table, group: CheckedGroup) =>
  !group.locked &&
  !group.stops.length &&
  studentsOf(group).every((id) => table.place(id) !== undefined)

/** In a line the newest joins at the back and whoever was there is then in the middle. */
function* withOneMore(table: Table, seats: Seating, child: number): Generator<Seating> {
  if (table.roles.has('middle') && table.roles.has('back')) {
    const middle = [...(seats['middle'] ?? []), ...(seats['back'] ?? [])]
    yield { ...seats, middle, back: [child] }
  }
  for (const role of [...table.roles.keys()].reverse()) {
    yield { ...seats, [role]: [...(seats[role] ?? []), child] }
  }
}

/** Among those who have a place, then with one of those who wait, then with all of them. */
function withAPlace(tonight: Tonight, table: Table, groups: readonly Formed[], child: number) {
  const standing = checkedGroups(tonight, table, groups).filter((group) => !group.stops.length)
  const placed = placesOf(table, standing.flatMap(studentsOf))
  const stay = [child, ...placed]
  const waiting = placesOf(table, tonight.here).filter((at) => !stay.includes(at))
  const few = stay.length <= PROVEN ? waiting.map((one) => [one]) : []
  for (const others of [[], ...few, waiting]) {
    const { groups: found, after } = regrouped(
      tonight,
      table,
      groups,
      new Set([...stay, ...others]),
    )
    const seated = new Set(placedIn(found))
    if (stay.every((at) => seated.has(at))) return after
  }
  return null
}

function refilled(
  tonight: Tonight,
  table: Table,
  groups: readonly Formed[],
  student: string,
  hers: number,
): CarriedOn | null {
  const group = groups[hers]
  const [role] =
    Object.entries(group?.seats ?? {}).find(([, held]) => held.includes(student)) ?? []
  if (!group || !role || studentsOf(group).some((id) => table.place(id) === undefined))
    return null
  const problem = formedProblem(tonight, table, groups)
  const seats = seatingOf(table, new Set(tonight.here), group)
  const placed = new Set(placesOf(table, groups.flatMap(studentsOf)))
  const [best] = placesOf(table, tonight.here)
    .filter((at) => !placed.has(at))
    .map((at) => ({ at, seats: { ...seats, [role]: [...(seats[role] ?? []), at] } }))
    .filter((one) => proposable(problem, one.seats))
    .sort(
      (one, other) =>
        (asksOf(problem, one.seats) ?? 0) - (asksOf(problem, other.seats) ?? 0) ||
        problem.gain(role, other.at) - problem.gain(role, one.at),
    )
  return best ? reseated(table, groups, hers, best.seats) : null
}

function closedUp(
  tonight: Tonight,
  table: Table,
  groups: readonly Formed[],
  student: string,
  hers: number,
): CarriedOn {
  const left = groups.map((group) => without(group, student))
  const some = left.filter((group) => studentsOf(group).length)
  const at = some.findIndex((group) => group === left[hers])
  const stopped = checkedGroups(tonight, table, some)[at]?.stops.length
  const after = stopped ? mended(tonight, table, some) : { became: some, fresh: [] }
  return { ...after, became: left.map((group) => after.became[some.indexOf(group)] ?? null) }
}
