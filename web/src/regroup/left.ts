/** Why a child is in no group, and what would help: never a load, a height or a wish. */

import { words } from '../words/words'
import { seatingOf, studentsOf } from './formed'
import { adultsOf, type Problem, proposable, stated } from './problem'
import { type Held, members, type Seating, type Table } from './table'
import type { Formed, Left, Reason, Tonight } from './tonight'

const said = words.regroup
const MOST_GROUPS = 20_000 // that are looked at for one child

/** Alphabetical. */
export function left(tonight: Tonight, table: Table, groups: readonly Formed[]): Left[] {
  const placed = new Set(groups.flatMap(studentsOf))
  const problem = stated(tonight, table)
  const here = new Set(tonight.here)
  const seatings = groups.map((group) => seatingOf(table, here, group))
  return tonight.here
    .filter((id) => !placed.has(id))
    .map((id) => {
      const at = table.place(id)
      const [reason, sentence] =
        at === undefined
          ? (['not_known', said.notKnown] as const)
          : why(tonight, table, problem, at, seatings)
      return { student: { id, name: tonight.names.get(id) ?? '' }, reason, sentence }
    })
    .sort(
      ({ student: one }, { student: other }) =>
        one.name.localeCompare(other.name) || (one.id < other.id ? -1 : 1),
    )
}

function why(
  tonight: Tonight,
  table: Table,
  problem: Problem,
  at: number,
  groups: readonly Seating[],
): readonly [Reason, string] {
  const all = [...table.roles.keys()]
    .map((role) => table.held(role, at))
    .filter((one) => one !== undefined)
  const ready = all.filter((held) => held.ready)
  if (!ready.length) return ['not_ready', notReady(all)]
  if (ready.every(({ state }) => state === 'stop')) return ['barred', saysOf(ready)]
  if (!hasGroup(problem, at)) {
    const { stop_says, partner_says } = table.said
    const another = problem.mayHold('flyer', at) ? stop_says : partner_says
    const helps = hasGroup(withAnybody(problem), at)
    return ['no_fitting_partner', helps ? said.wouldHelp(another) : said.anotherHold]
  }
  const missing = table.said.adults_a_group - adultsOf(tonight)
  if (missing > 0) return ['no_spotter', said.moreAdults(missing)]
  if (!problem.groupsAtMost) return ['no_mat', said.freeMat]
  const group = groups.findIndex((seats) => couldTakeAPlace(problem, seats, at))
  return ['would_break_another', group < 0 ? said.laterTurn : said.turnWith(group + 1)]
}

/** What is missing, as the table says it of the first role that nothing stops. */
function notReady(all: readonly Held[]): string {
  const begin = all.find(({ state }) => state === 'ask')
  return begin ? saysOf([begin]) : said.notReady
}

const saysOf = (some: readonly Held[]) =>
  [...new Set(some.flatMap(({ says }) => says))].join('; ')

const withAnybody = (problem: Problem): Problem => ({
  ...problem,
  notWith: [],
  onlyWith: [],
  under: () => () => 0,
})

function couldTakeAPlace(problem: Problem, seats: Seating, at: number): boolean {
  return Object.entries(seats).some(([role, held]) =>
    held.some((resting) =>
      proposable(problem, { ...seats, [role]: [...held.filter((one) => one !== resting), at] }),
    ),
  )
}

/** Whether there can be a group with her in it, everybody else free. */
function hasGroup(problem: Problem, child: number): boolean {
  let looked = 0
  const grow = (seats: Seating, role: number, hers: string): boolean => {
    const size = problem.sizes[role]
    if (!size) {
      looked += 1
      return proposable(problem, seats)
    }
    const taken = [child, ...members(seats)]
    const able = problem.free.filter(
      (at) => !taken.includes(at) && problem.mayHold(size.role, at),
    )
    const pick = (held: readonly number[], from: number): boolean => {
      if (looked >= MOST_GROUPS) return true
      if (held.length >= size.min && grow({ ...seats, [size.role]: held }, role + 1, hers))
        return true
      return (
        held.length < size.max &&
        able.slice(from).some((at, index) => pick([...held, at], from + index + 1))
      )
    }
    return pick(size.role === hers ? [child] : [], 0)
  }
  return problem.sizes.some(
    ({ role, max }) => max && problem.mayHold(role, child) && grow({}, 0, role),
  )
}
