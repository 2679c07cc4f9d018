/** Groups by the rules of a regrouping, round what is locked and with the least change of what
 * stood.
 *
 *     const tonight = { table, card, here, names, assistant: false }
 *     const { groups, stillToPlace, proven } = propose(tonight, kept)
 *
 * Most children are placed; of these the most keep group and role; then fairness, asks and repeats
 * decide, each before the next. Of equals the first is taken: groups in the order in which they
 * stood, then children as they stand in the table. */

import { checkedGroups, classStops, ANOTHER } from './check'
import { allOf, type CarriedOn, carriedOn, copy, seatingOf, studentsOf } from './formed'
import { left } from './left'
import { type Problem, stated } from './problem'
import { solve } from './solve'
import { members, type Seating, Table } from './table'
import type { Formed, Propose, Tonight } from './tonight'
import { worthOf } from './worth'

export const propose: Propose = (tonight, before = []) => {
  const table = new Table(tonight.table)
  const stops = classStops(tonight)
  if (stops.length) {
    const worth = { placed: 0, kept: 0, fairness: 0, asks: 0, repeats: 0 }
    return { groups: [], stops, stillToPlace: [], proven: true, worth }
  }
  const { problem, groups, proven, after } = regrouped(tonight, table, before)
  const all = allOf(after)
  return {
    groups: checkedGroups(tonight, table, all),
    stops: [],
    stillToPlace: left(tonight, table, all),
    proven,
    worth: worthOf(problem, groups),
  }
}

export interface Regrouped {
  readonly problem: Problem
  /** Locked ones among them. */
  readonly groups: readonly Seating[]
  readonly proven: boolean
  readonly after: CarriedOn
}

/** The best groups for everybody who is here, or for some of them. */
export function regrouped(
  tonight: Tonight,
  table: Table,
  before: readonly Formed[],
  only?: ReadonlySet<number>,
): Regrouped {
  const here = new Set(tonight.here)
  const bound = boundOf(tonight, table, before)
  const formed = before.map((group) => seatingOf(table, here, group))
  const locked = formed.filter((_, index) => bound[index])
  const problem = stated(tonight, table, { formed, locked }, only)
  const { groups, proven } = solve(problem)
  const open = before.filter((_, index) => !bound[index])
  const { became, fresh } = carriedOn(table, groups, open)
  return {
    problem,
    groups: [...locked, ...groups],
    proven,
    after: {
      became: before.map((group, index) =>
        bound[index] ? copy(group) : (became[open.indexOf(group)] ?? null),
      ),
      fresh,
    },
  }
}

/** Which groups nobody changes: those that a teacher locked, and those with a child whom the table
 * does not know and who was therefore put there by hand; unless something stops them that is about
 * a child or about how many they are. */
function boundOf(tonight: Tonight, table: Table, groups: readonly Formed[]): boolean[] {
  return checkedGroups(tonight, table, groups).map(
    (group) =>
      (group.locked || studentsOf(group).some((id) => table.place(id) === undefined)) &&
      group.stops.every(({ code }) => code === ANOTHER),
  )
}

export const placedIn = (groups: readonly Seating[]) => groups.flatMap(members)
