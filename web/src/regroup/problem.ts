/** One regrouping as a problem: who may hold what, what stood, how many groups there may be. */

import { keyOf, members, type Seating, Table } from './table'
import type { Tonight } from './tonight'

export interface Size {
  readonly role: string
  readonly min: number
  readonly max: number
}

type Pair = readonly [one: number, other: number, count: number]

export interface Problem {
  /** Base and flyer first. */
  readonly sizes: readonly Size[]
  /** Who is here and in no locked group, ascending. */
  readonly free: readonly number[]
  readonly standing: readonly Seating[]
  readonly locked: readonly Seating[]
  /** Beside those that are locked. */
  readonly groupsAtMost: number
  readonly keepPartners: boolean
  /** Of those who are here: two, and how often they were together where that is told. */
  readonly notWith: readonly Pair[]
  readonly onlyWith: readonly Pair[]
  readonly pastPairs: readonly Pair[]
  mayHold(role: string, at: number): boolean
  /** What fairness gains by her in a role. */
  gain(role: string, at: number): number
  /** How many pairs are asked about with flyers under these bases; null where they are stopped. */
  under(bases: readonly number[]): (flyers: readonly number[], key: string) => number | null
}

export interface Before {
  /** Whatever was formed counts as agreed, unless it is stopped. */
  readonly formed: readonly Seating[]
  readonly locked: readonly Seating[]
}

const NOTHING: Before = { formed: [], locked: [] }
const FAIR = ['base', 'flyer']

export const adultsOf = (tonight: Tonight) => tonight.adults ?? tonight.table.adults

export const groupsOnMats = ({ table, mats }: Tonight) =>
  mats === undefined ? table.groups_at_most : mats * table.turns_under_one_spot

/** How many groups all adults together take in turn; null where nobody spots. */
export function groupsUnderSpot({ table, ...tonight }: Tonight): number | null {
  if (!table.adults_a_group) return null
  const adults = adultsOf({ table, ...tonight })
  if (adults < table.adults_a_group) return 0
  return Math.floor((adults * table.turns_under_one_spot) / table.adults_a_group)
}

/** The problem of those who are here; `only` narrows it to some of them. */
export function stated(
  tonight: Tonight,
  table: Table,
  { formed, locked }: Before = NOTHING,
  only?: ReadonlySet<number>,
): Problem {
  const everybody = placesOf(table, tonight.here)
  const here = everybody.filter((at) => !only || only.has(at))
  const bound = new Set(locked.flatMap(members))
  const chosen = new Set(
    formed.flatMap((seats) =>
      Object.entries(seats).flatMap(([role, some]) => some.map((at) => `${role} ${at}`)),
    ),
  )
  const together = formed.map(({ base = [], flyer = [] }) => [base, flyer] as const)
  const stood = (one: number, other: number) =>
    together.some(([base, flyer]) => base.includes(one) && flyer.includes(other))
  const mayHold = (role: string, at: number) =>
    table.mayHold(role, at) ||
    (chosen.has(`${role} ${at}`) && table.held(role, at)?.state !== 'stop')
  const turns = (role: string, at: number) => table.held(role, at)?.turns ?? 0
  const most = new Map(
    FAIR.map((role) => [
      role,
      Math.max(0, ...here.filter((at) => mayHold(role, at)).map((at) => turns(role, at))),
    ]),
  )
  const bothHere = (rows: readonly number[][]) =>
    rows
      .map(([one = -1, other = -1, count = 0]) => [one, other, count] as const)
      .filter(([one, other]) => everybody.includes(one) && everybody.includes(other))
  const underSpot = groupsUnderSpot(tonight)
  const { said } = table
  return {
    sizes: sizesOf(tonight, formed),
    free: here.filter((at) => !bound.has(at)),
    standing: formed,
    locked,
    groupsAtMost: Math.max(
      0,
      Math.min(groupsOnMats(tonight), underSpot ?? Infinity) - locked.length,
    ),
    keepPartners: said.keep_partners,
    notWith: bothHere(said.not_with),
    onlyWith: bothHere(said.only_with),
    pastPairs: bothHere(said.past_pairs),
    mayHold,
    gain: (role, at) => (most.has(role) ? (most.get(role) ?? 0) - turns(role, at) : 0),
    under(bases) {
      const state = table.under(bases)
      return (flyers, key) => {
        const told = state(flyers, key)
        if (told !== 'ask') return told === 'stop' ? null : 0
        return table.toAgree(bases, flyers).filter((pair) => !stood(...pair)).length
      }
    },
  }
}

/** How many pairs a group is asked about; null where it is stopped. */
export const asksOf = (problem: Problem, { base = [], flyer = [] }: Seating) =>
  problem.under(base)(flyer, keyOf(flyer))

/** Their places in the table's order; whom it does not know is left out. */
export const placesOf = (table: Table, ids: readonly string[]): number[] =>
  ids
    .map((id) => table.place(id))
    .filter((at) => at !== undefined)
    .sort((a, b) => a - b)

/** A group that somebody formed longer than one would be proposed may be as long again. */
function sizesOf({ table, card }: Tonight, formed: readonly Seating[]): Size[] {
  const sizes = table.roles.map(({ role, min, max }) => {
    const longest = Math.max(0, ...formed.map((seats) => seats[role]?.length ?? 0))
    const most = card.roles.find((one) => one.role === role)?.max ?? max
    return { role, min, max: Math.min(Math.max(max, longest), Math.max(max, most)) }
  })
  const rank = ({ role }: Size) => (FAIR.includes(role) ? FAIR.indexOf(role) : FAIR.length)
  return sizes.sort((one, other) => rank(one) - rank(other))
}

/** Whether a group may be proposed, whatever other groups there are. */
export function proposable(problem: Problem, seats: Seating): boolean {
  const all = members(seats)
  const inIt = new Set(all)
  if (!all.length || inIt.size !== all.length) return false
  const roles = new Set(problem.sizes.map(({ role }) => role))
  return (
    Object.entries(seats).every(
      ([role, some]) => roles.has(role) && some.every((at) => problem.mayHold(role, at)),
    ) &&
    problem.sizes.every(({ role, min, max }) => {
      const there = seats[role]?.length ?? 0
      return min <= there && there <= max
    }) &&
    !problem.notWith.some(([one, other]) => inIt.has(one) && inIt.has(other)) &&
    !problem.onlyWith.some(([one, other]) => inIt.has(one) !== inIt.has(other)) &&
    asksOf(problem, seats) !== null
  )
}
