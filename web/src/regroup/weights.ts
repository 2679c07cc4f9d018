/** The levels of worth as one number: each weighs more than all below it together. */

import type { Problem } from './problem'
import type { Worth } from './tonight'

export type Weights = { readonly [level in keyof Worth]: number }

/** The weights for a problem; what is the better the less of it there is weighs below 0. */
export function weightsOf(problem: Problem): Weights {
  const { free, sizes, pastPairs, keepPartners } = problem
  const most = (at: number) => Math.max(0, ...sizes.map(({ role }) => problem.gain(role, at)))
  const ranges = {
    repeats: pastPairs.reduce((sum, [, , count]) => sum + count, 0),
    asks: Math.floor(free.length ** 2 / 4),
    fairness: free.reduce((sum, at) => sum + most(at), 0),
    kept: free.length,
    placed: free.length,
  }
  const repeats = 1
  const asks = repeats * ranges.repeats + 1
  const fairness = asks * (ranges.asks + 1)
  const kept = fairness * (ranges.fairness + 1)
  const placed = kept * (ranges.kept + 1)
  if (placed * (ranges.placed + 1) > Number.MAX_SAFE_INTEGER) {
    throw new RangeError('the turns and past pairs of this table are too many to weigh')
  }
  return { placed, kept, fairness, asks: -asks, repeats: keepPartners ? repeats : -repeats }
}
