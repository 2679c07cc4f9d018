/** The slow and obvious way: look at all groups, and at all sets of them. */

import { groupsOnMats, groupsUnderSpot } from '../problem'
import type { PairTable, Tonight, Worth } from '../tonight'

type Seats = { readonly [role: string]: readonly string[] }

const idsOf = (seats: Seats) => Object.values(seats).flat()

export function bestWorth(tonight: Tonight, before: readonly Seats[]): readonly number[] {
  const slow = new Slow(tonight, before)
  return slow.best(
    [],
    slow.every(),
    Math.min(groupsOnMats(tonight), groupsUnderSpot(tonight) ?? Infinity),
  )
}

/** How many keep group and role, over every pairing of old and new groups. */
export function kept(before: readonly Seats[], after: readonly Seats[]): number {
  const [old, ...rest] = before
  if (!old) return 0
  const same = (seats: Seats) =>
    Object.entries(old).reduce(
      (sum, [role, held]) => sum + held.filter((id) => seats[role]?.includes(id)).length,
      0,
    )
  return Math.max(
    kept(rest, after),
    ...after.map((seats, at) => same(seats) + kept(rest, after.toSpliced(at, 1))),
  )
}

/** By the page of the table, on ids. */
export class Slow {
  private readonly table: PairTable
  constructor(
    private readonly tonight: Tonight,
    private readonly before: readonly Seats[],
  ) {
    this.table = tonight.table
  }

  every(): Seats[] {
    let found: Seats[] = [{}]
    for (const id of this.tonight.here) {
      const more = this.table.roles.flatMap(({ role }) =>
        found.map((seats) => ({ ...seats, [role]: [...(seats[role] ?? []), id] })),
      )
      found = [...found, ...more]
    }
    return found.filter((seats) => this.proposable(seats))
  }

  proposable(seats: Seats): boolean {
    const ids = idsOf(seats)
    const { roles, not_with, only_with } = this.table
    const named = (pairs: readonly number[][]) =>
      pairs.map((pair) => pair.map((at) => this.table.children[at] ?? ''))
    return (
      ids.length > 0 &&
      new Set(ids).size === ids.length &&
      roles.every(({ role, min, max }) => {
        const there = seats[role]?.length ?? 0
        return there >= min && there <= this.longest(role, max)
      }) &&
      Object.entries(seats).every(([role, held]) => held.every((id) => this.mayHold(role, id))) &&
      named(not_with).every((pair) => !pair.every((id) => ids.includes(id))) &&
      named(only_with)
        .filter((pair) => pair.every((id) => this.tonight.here.includes(id)))
        .every((pair) => pair.filter((id) => ids.includes(id)).length !== 1) &&
      this.state(seats) !== 'stop'
    )
  }

  worth(groups: readonly Seats[]): Worth {
    const gain = (role: string, id: string) => this.most(role) - this.turns(role, id)
    const fair = groups.flatMap((seats) =>
      Object.entries(seats)
        .filter(([role]) => role === 'base' || role === 'flyer')
        .flatMap(([role, held]) => held.map((id) => gain(role, id))),
    )
    const repeats = this.table.past_pairs.map(([one = -1, other = -1, count = 0]) => {
      const pair = [this.table.children[one] ?? '', this.table.children[other] ?? '']
      return groups.some((seats) => pair.every((id) => idsOf(seats).includes(id))) ? count : 0
    })
    const sum = (numbers: readonly number[]) => numbers.reduce((one, other) => one + other, 0)
    return {
      placed: groups.flatMap(idsOf).length,
      kept: kept(this.before, groups),
      fairness: sum(fair),
      asks: sum(groups.map((seats) => this.asks(seats))),
      repeats: sum(repeats),
    }
  }

  /** The more the better, level by level. */
  levels(groups: readonly Seats[]): number[] {
    const { placed, kept: stay, fairness, asks, repeats } = this.worth(groups)
    return [placed, stay, fairness, -asks, this.table.keep_partners ? repeats : -repeats]
  }

  best(chosen: readonly Seats[], open: readonly Seats[], atMost: number): readonly number[] {
    let most: readonly number[] = this.levels(chosen)
    if (chosen.length >= atMost) return most
    open.forEach((seats, at) => {
      const taken = new Set(idsOf(seats))
      const rest = open.slice(at + 1).filter((other) => !idsOf(other).some((id) => taken.has(id)))
      const found = this.best([...chosen, seats], rest, atMost)
      if (isMore(found, most)) most = found
    })
    return most
  }

  private held(role: string, id: string) {
    return this.table.roles.find((one) => one.role === role)?.children[
      this.table.children.indexOf(id)
    ]
  }

  private mayHold(role: string, id: string): boolean {
    const held = this.held(role, id)
    const stood = this.before.some((seats) => seats[role]?.includes(id))
    return held !== undefined && held.state !== 'stop' && (held.ready || stood)
  }

  private longest(role: string, max: number): number {
    const most = this.tonight.card.roles.find((one) => one.role === role)?.max ?? max
    return Math.min(most, Math.max(max, ...this.before.map((seats) => seats[role]?.length ?? 0)))
  }

  private turns(role: string, id: string): number {
    return this.held(role, id)?.turns ?? 0
  }

  private most(role: string): number {
    const able = this.tonight.here.filter((id) => this.mayHold(role, id))
    return Math.max(0, ...able.map((id) => this.turns(role, id)))
  }

  private state({ base = [], flyer = [] }: Seats): 'fits' | 'ask' | 'stop' {
    if (!base.length || !flyer.length) return 'fits'
    const places = (ids: readonly string[]) =>
      new Set(ids.map((id) => this.table.children.indexOf(id)))
    const same = (one: ReadonlySet<number>, other: readonly number[]) =>
      one.size === other.length && other.every((at) => one.has(at))
    const row = this.table.sets.find(({ bases }) => same(places(base), bases))
    if (row?.stop.some((set) => same(places(flyer), set))) return 'stop'
    if (row?.ask.some((set) => same(places(flyer), set))) return 'ask'
    // Sets are listed as large as one is proposed.
    const most = (role: string) => this.table.roles.find((one) => one.role === role)?.max ?? 0
    const large = base.length > most('base') || flyer.length > most('flyer')
    if (this.table.sets.length && large) return 'ask'
    if (this.table.covers === 'everybody') return 'fits'
    const ready =
      this.table.covers === 'ready' &&
      base.every((id) => this.held('base', id)?.ready) &&
      flyer.every((id) => this.held('flyer', id)?.ready)
    return ready ? 'fits' : 'ask'
  }

  private asks(seats: Seats): number {
    if (this.state(seats) !== 'ask') return 0
    const { base = [], flyer = [] } = seats
    const agreed = (one: string, other: string) =>
      this.table.agreed.some(
        ([a = -1, b = -1]) => this.table.children[a] === one && this.table.children[b] === other,
      ) ||
      this.before.some((stood) => stood['base']?.includes(one) && stood['flyer']?.includes(other))
    return base.flatMap((one) => flyer.filter((other) => !agreed(one, other))).length
  }
}

function isMore(one: readonly number[], other: readonly number[]): boolean {
  const at = one.findIndex((value, index) => value !== other[index])
  return at >= 0 && (one[at] ?? 0) > (other[at] ?? 0)
}
