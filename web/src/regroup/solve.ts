/** The best groups for a problem: proven for as many children as a class mostly has, else the best
 * that many small proven searches find, each among the children of some groups and some without. */

import { type Chosen, Search } from './exact'
import { Pool } from './pool'
import type { Problem } from './problem'
import { members, type Seating } from './table'
import { type Weights, weightsOf } from './weights'

export interface Solved {
  /** Beside those that are locked. */
  readonly groups: Seating[]
  readonly proven: boolean
}

/** So many children are always searched to the end, and a few more where groups are small. */
export const PROVEN = 14
const PROVEN_IN_THREES = 16
const WINDOW = 11
const WINDOWS = 150
const MOST_EFFORT = 10_000_000 // of all windows; a search ends after the same one on every phone

export function solve(problem: Problem): Solved {
  const weights = weightsOf(problem)
  const able = problem.free.filter((at) =>
    problem.sizes.some(({ role }) => problem.mayHold(role, at)),
  )
  const standing = problem.standing.filter((seats) => !problem.locked.includes(seats))
  const inThrees = problem.sizes.reduce((sum, { max }) => sum + max, 0) <= 3
  const proven = able.length <= (inThrees ? PROVEN_IN_THREES : PROVEN)
  const found = proven
    ? new Search(new Pool(problem, weights, able), standing, problem.groupsAtMost).best()
    : searched(problem, weights, able, standing)
  return { groups: found.map(({ seats }) => seats), proven }
}

/** It never gets worse by a window: what was there before is one of its answers. Of equals it takes
 * another, which leads on to better ones. */
export function searched(
  problem: Problem,
  weights: Weights,
  able: readonly number[],
  standing: readonly Seating[],
): Chosen[] {
  const stood = standing.flatMap(members).filter((at) => able.includes(at))
  const start = [...new Set([...stood, ...able])]
  const random = dice(able.length)
  const most = Math.max(
    WINDOW,
    problem.sizes.reduce((sum, { min }) => sum + min, 0),
  )
  let groups: Chosen[] = []
  let effort = 0
  for (let step = 0; step < WINDOWS && effort < MOST_EFFORT; step += 1) {
    const first = step * most
    const order =
      first < start.length
        ? [...start.slice(first), ...start.slice(0, first)]
        : shuffled(able, random, step % 2 ? leftBy(able, groups) : [])
    const { places, inside } = windowOf(order, groups, most)
    const outside = groups.filter((group) => !inside.includes(group))
    const carried = new Set(outside.map((group) => group.stood))
    const search = new Search(
      new Pool(problem, weights, places),
      standing.filter((seats) => !carried.has(seats)),
      problem.groupsAtMost - outside.length,
    )
    effort += search.effort
    const found = search.best()
    groups = [...outside, ...found]
  }
  return groups
}

const leftBy = (able: readonly number[], groups: readonly Chosen[]) => {
  const placed = new Set(groups.flatMap(({ seats }) => members(seats)))
  return able.filter((at) => !placed.has(at))
}

/** The first children, each with everybody in her group, as long as they are not too many. */
function windowOf(order: readonly number[], groups: readonly Chosen[], most: number) {
  const places = new Set<number>()
  const inside: Chosen[] = []
  for (const at of order) {
    if (places.has(at)) continue
    const group = groups.find(({ seats }) => members(seats).includes(at))
    const all = group ? members(group.seats) : [at]
    if (places.size + all.length > most) continue
    all.forEach((one) => places.add(one))
    if (group) inside.push(group)
  }
  return { places: [...places].sort((one, other) => one - other), inside }
}

/** Whole numbers below a limit, the same on every phone (a linear congruential generator). */
function dice(seed: number) {
  let state = seed
  return (below: number) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return Math.floor((state / 2 ** 32) * below)
  }
}

/** In a new order; one of those who are left, if there are any, before all others. */
function shuffled(
  able: readonly number[],
  random: (below: number) => number,
  left: readonly number[],
) {
  const order = [...able]
  for (let at = order.length - 1; at > 0; at -= 1) {
    const other = random(at + 1)
    const [one = 0, two = 0] = [order[at], order[other]]
    order[at] = two
    order[other] = one
  }
  const first = left[random(left.length)]
  return first === undefined ? order : [first, ...order]
}
