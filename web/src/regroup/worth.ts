/** What groups are worth, level by level. */

import { asksOf, type Problem } from './problem'
import { members, type Seating } from './table'
import type { Worth } from './tonight'

/** Of all groups together, locked ones among them. */
export function worthOf(problem: Problem, groups: readonly Seating[]): Worth {
  const together = groups.map((seats) => new Set(members(seats)))
  const seated = groups.flatMap((seats) =>
    Object.entries(seats).flatMap(([role, some]) => some.map((at) => [role, at] as const)),
  )
  return {
    placed: seated.length,
    kept: kept(problem.standing, groups),
    fairness: sum(seated.map(([role, at]) => problem.gain(role, at))),
    asks: sum(groups.map((seats) => asksOf(problem, seats) ?? 0)),
    repeats: sum(
      problem.pastPairs
        .filter(([one, other]) => together.some((some) => some.has(one) && some.has(other)))
        .map(([, , count]) => count),
    ),
  }
}

/** How many keep group and role: each group before lives on in at most one and each group carries
 * on at most one; of all such pairings the one that keeps most. */
function kept(before: readonly Seating[], groups: readonly Seating[]): number {
  const overlaps = before.map((old) =>
    groups
      .map((group, index) => [index, shared(old, group)] as const)
      .filter(([, count]) => count),
  )
  // Only groups that a later one could still carry on need to be remembered.
  const wanted = overlaps.map(
    (_, at) =>
      new Set(
        overlaps
          .slice(at)
          .flat()
          .map(([index]) => index),
      ),
  )
  const known = new Map<string, number>()
  const most = (at: number, all: readonly number[]): number => {
    const choices = overlaps[at]
    if (!choices) return 0
    const taken = all.filter((index) => wanted[at]?.has(index))
    const key = [at, ...taken].join()
    const found =
      known.get(key) ??
      Math.max(
        most(at + 1, taken),
        ...choices
          .filter(([index]) => !taken.includes(index))
          .map(
            ([index, count]) =>
              count +
              most(
                at + 1,
                [...taken, index].sort((a, b) => a - b),
              ),
          ),
      )
    known.set(key, found)
    return found
  }
  return most(0, [])
}

/** How many hold the same role in both. */
const shared = (one: Seating, other: Seating): number =>
  sum(
    Object.entries(one).map(
      ([role, some]) => some.filter((at) => other[role]?.includes(at)).length,
    ),
  )

const sum = (numbers: readonly number[]) => numbers.reduce((one, other) => one + other, 0)
