/** Who tries at a station: each group as one, and whoever is in none by herself. */
import { groupsOf } from '../groups/seats'
import type { Card, Child, Role, Spot, Tonight, Try } from '../lesson/tonight'
import { barsOf } from './bars'
import { spotToBegin } from './spot'

export interface Seat {
  readonly child: Child
  readonly role: Role
}

export interface Unit {
  /** The same for the same children, wherever their group comes from. */
  readonly key: string
  /** By role as the card has them; nobody who spots, for whom nothing is logged. */
  readonly seats: readonly Seat[]
  /** The group's id on the server. */
  readonly group: string | null
  readonly spot: Spot
  /** Names of those of the group who are not here. */
  readonly missing: readonly string[]
  /** Names of children who spot beside an adult. */
  readonly helpers: readonly string[]
  /** What keeps one of them from it. */
  readonly bars: readonly { readonly child: Child; readonly says: string }[]
}

/** A group stays one where somebody of it is missing. */
export function isGroup(unit: Unit): boolean {
  return unit.seats.length + unit.missing.length > 1
}

export function rolesOf(card: Card): Role[] {
  return card.roles.map((one) => one.role).filter((role) => role !== 'spotter')
}

/** Groups in their order, then by name who is in none; `role` is theirs where it was chosen. */
export function unitsOf(now: Tonight, card: Card, role: Role | null): Unit[] {
  const known = new Map(now.children.map((child) => [child.id, child]))
  const placed = new Set<string>()
  const groups = groupsOf(now, card.skill).flatMap((group) => {
    const held = rolesOf(card).flatMap((role) =>
      (group.seats[role] ?? []).flatMap((id) => ({ child: known.get(id), role })),
    )
    const seats = held.filter((one): one is Seat => isHere(one.child))
    for (const { child } of seats) placed.add(child.id)
    const missing = held.filter((one) => !isHere(one.child)).map((one) => one.child?.name)
    const helpers = (group.seats.spotter ?? []).map((id) => known.get(id)?.name)
    const of = { group: group.id, missing: named(missing), helpers: named(helpers) }
    return seats.length === 0 ? [] : [unit(now, card, seats, of)]
  })
  const alone = now.here
    .filter((child) => !placed.has(child.id))
    .map((child) => {
      const seat = { child, role: role ?? roleAlone(now, card, child) }
      return unit(now, card, [seat], NO_GROUP)
    })
  return [...groups, ...alone]
}

const NO_GROUP = { group: null, missing: [], helpers: [] }

function unit(
  now: Tonight,
  card: Card,
  seats: readonly Seat[],
  of: Pick<Unit, 'group' | 'missing' | 'helpers'>,
): Unit {
  const bars = seats.flatMap(({ child, role }) =>
    barsOf(now, card, child, role).map((says) => ({ child, says })),
  )
  const key = seats.map((one) => one.child.id).sort().join('+')
  return { key, seats, spot: spotToBegin(now, card, seats), bars, ...of }
}

/** In no group she does what she has just done, else what she is ready for. */
export function roleAlone(now: Tonight, card: Card, child: Child): Role {
  const roles = rolesOf(card)
  const last = triesAt(now, card).findLast((one) => one.student === child.id)
  if (last) return last.role
  const ready = roles.find((role) =>
    child.skills.some((one) => one.skill === card.skill && one.role === role && one.ready),
  )
  return ready ?? roles[0]!
}

/** Tonight's tries of a skill, oldest first. */
export function triesAt(now: Tonight, card: Card): Try[] {
  return now.tries.filter((one) => one.skill_id === card.skill_id)
}

function isHere(child: Child | undefined): child is Child {
  return child !== undefined && child.state !== 'away'
}

function named(names: readonly (string | undefined)[]): string[] {
  return names.filter((name) => name !== undefined)
}
