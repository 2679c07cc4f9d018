/** The best groups out of a pool: a dynamic programme over the sets of children who are left.
 *
 * `rows[k][mask]` is what at most k more groups out of these children are worth. Groups that stood
 * are carried on one after the other, each by one new group or none; then the first child in the
 * table who is left is put into a group or stays over, and so on. The same order, and of equals
 * the first, gives one answer on every phone. */

import { type Candidate, countOf, type Pool } from './pool'
import type { Seating } from './table'

export interface Chosen {
  readonly seats: Seating
  readonly value: number
  /** The group it carries on. */
  readonly stood: Seating | null
}

type Rows = readonly Float64Array[]

interface Layer {
  readonly stood: Seating
  readonly candidates: readonly Candidate[]
}

export class Search {
  private readonly free: readonly Candidate[]
  private readonly carried: readonly Layer[]
  private readonly groupsAtMost: number
  private readonly isBound: boolean

  constructor(
    private readonly pool: Pool,
    standing: readonly Seating[],
    groupsAtMost: number,
  ) {
    this.free = pool.candidates(null)
    this.carried = standing
      .map((stood) => ({ stood, candidates: pool.candidates(stood) }))
      .filter(({ candidates }) => candidates.length)
    const smallest = this.free.reduce(
      (least, { mask }) => Math.min(least, countOf(mask)),
      Infinity,
    )
    const fitting = Math.floor(pool.places.length / smallest)
    this.isBound = groupsAtMost < fitting
    this.groupsAtMost = Math.min(groupsAtMost, fitting)
  }

  /** How many sums it takes; to look at a way to seat somebody is worth some four of them. */
  get effort(): number {
    const children = this.pool.places.length
    const free = this.free.reduce(
      (sum, one) => sum + 2 ** (children - lowest(one.mask) - countOf(one.mask)),
      0,
    )
    const carried = this.carried
      .slice(1)
      .flatMap(({ candidates }) => candidates.map(({ mask }) => 2 ** (children - countOf(mask))))
    const sums = carried.reduce((one, other) => one + other, free)
    return 4 * this.pool.looked + sums * (this.isBound ? this.groupsAtMost : 1)
  }

  best(): Chosen[] {
    if (!this.groupsAtMost) return []
    const last = this.freeRows()
    const rows: Rows[] = [last]
    for (const { candidates } of this.carried.slice(1).reverse()) {
      rows.unshift(this.carriedRows(candidates, rows[0] ?? last))
    }
    let left = this.pool.everybody
    let groups = this.groupsAtMost
    const chosen: Chosen[] = []
    const take = (candidate: Candidate, stood: Seating | null) => {
      chosen.push({ seats: this.pool.seats(candidate), value: candidate.value, stood })
      left ^= candidate.mask
      groups -= 1
    }
    this.carried.forEach(({ stood, candidates }, index) => {
      const after = rows[index] ?? last
      let most = this.at(after, groups, left)
      let best: Candidate | null = null
      for (const candidate of this.within(candidates, groups, left)) {
        const value = candidate.value + this.at(after, groups - 1, left ^ candidate.mask)
        if (value > most) {
          most = value
          best = candidate
        }
      }
      if (best) take(best, stood)
    })
    while (left) {
      const first = left & -left
      const value = this.at(last, groups, left)
      const found = this.within(this.free, groups, left).find(
        ({ mask, value: own }) =>
          mask & first && own + this.at(last, groups - 1, left ^ mask) === value,
      )
      if (found) take(found, null)
      else left ^= first
    }
    return chosen
  }

  private at(rows: Rows, groups: number, mask: number): number {
    return rows[this.isBound ? groups : 0]?.[mask] ?? 0
  }

  private within(candidates: readonly Candidate[], groups: number, left: number): Candidate[] {
    return groups ? candidates.filter(({ mask }) => (mask & left) === mask) : []
  }

  /** One row for each number of groups, or one for all where their number binds nothing. */
  private freeRows(): Rows {
    const byLowest = this.pool.places.map((_, low) =>
      this.free.filter(({ mask }) => lowest(mask) === low),
    )
    const rows = [new Float64Array(this.pool.everybody + 1)]
    for (let k = 1; k <= (this.isBound ? this.groupsAtMost : 1); k += 1) {
      const row = this.isBound ? new Float64Array(this.pool.everybody + 1) : rows[0]
      const below = rows[k - 1]
      if (!row || !below) break
      for (let low = this.pool.places.length - 1; low >= 0; low -= 1) {
        const first = 1 << low
        const above = this.pool.everybody & ~(2 * first - 1)
        for (let rest = above; ; rest = (rest - 1) & above) {
          row[rest | first] = row[rest] ?? 0
          if (!rest) break
        }
        byLowest[low]?.forEach((one) => raise(row, below, one, above))
      }
      if (this.isBound) rows.push(row)
    }
    return rows
  }

  private carriedRows(candidates: readonly Candidate[], after: Rows): Rows {
    return after.map((same, k) => {
      const row = same.slice()
      const below = this.isBound ? after[k - 1] : same
      if (below) candidates.forEach((one) => raise(row, below, one, this.pool.everybody))
      return row
    })
  }
}

/** Put the group beside every set of the children in `among` whom it leaves. */
function raise(
  row: Float64Array,
  below: Float64Array,
  { mask, value }: Candidate,
  among: number,
) {
  const others = among & ~mask
  for (let rest = others; ; rest = (rest - 1) & others) {
    const together = value + (below[rest] ?? 0)
    if (together > (row[rest | mask] ?? 0)) row[rest | mask] = together
    if (!rest) break
  }
}

const lowest = (mask: number) => 31 - Math.clz32(mask & -mask)
