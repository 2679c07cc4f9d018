/** Groups as children form them themselves: names are tapped into one place after another. */
import type { Card, PairTable, Role, Seats } from '../lesson/tonight'
import type { Formed } from '../regroup'

export interface Size {
  readonly role: Role
  readonly min: number
  readonly max: number
}

export interface Choosing {
  readonly groups: readonly Seats[]
  /** Where the next name goes. */
  readonly at: { readonly group: number; readonly role: Role }
}

/** The roles that children hold, as many of them as the card lets stand in one group. */
export function sizesOf(card: Card, table: PairTable | null): Size[] {
  const held = table && new Set(table.roles.map((one) => one.role))
  return card.roles.filter(({ role }) => (held ? held.has(role) : role !== 'spotter'))
}

export function begun(sizes: readonly Size[]): Choosing {
  return { groups: [{}], at: { group: 0, role: firstRole(sizes, {}) } }
}

/** The name goes where the next one is wanted; whoever is placed already moves there. */
export function put(choosing: Choosing, sizes: readonly Size[], student: string): Choosing {
  const { group, role } = choosing.at
  const groups = takenOut(choosing, student).groups.map((seats, at) =>
    at === group ? { ...seats, [role]: [...(seats[role] ?? []), student] } : seats,
  )
  const seats = groups[group] ?? {}
  if (wanted(sizes, seats)) return { groups, at: { group, role: firstRole(sizes, seats) } }
  const full = sizes.every((size) => count(seats, size.role) >= size.max)
  if (full) return nextGroup({ groups, at: choosing.at }, sizes)
  // More may join here: in the role that was last filled, as long as there is room.
  const room = sizes.find((size) => size.role === role && count(seats, role) < size.max)
  const open = room ?? sizes.find((size) => count(seats, size.role) < size.max)
  return { groups, at: { group, role: open?.role ?? role } }
}

export function takenOut(choosing: Choosing, student: string): Choosing {
  const groups = choosing.groups.map((seats) =>
    Object.fromEntries(
      Object.entries(seats).map(([role, held]) => [role, held.filter((one) => one !== student)]),
    ),
  )
  return { ...choosing, groups }
}

export function toPlace(choosing: Choosing, group: number, role: Role): Choosing {
  return { ...choosing, at: { group, role } }
}

/** An empty group, the one that is there or a new one. */
export function nextGroup({ groups }: Choosing, sizes: readonly Size[]): Choosing {
  const empty = groups.findIndex((seats) => total(seats) === 0)
  const all = empty < 0 ? [...groups, {}] : groups
  return {
    groups: all,
    at: { group: empty < 0 ? groups.length : empty, role: firstRole(sizes, {}) },
  }
}

/** Who is placed where. */
export function placesIn({ groups }: Choosing): ReadonlyMap<string, Choosing['at']> {
  return new Map(
    groups.flatMap((seats, group) =>
      Object.entries(seats).flatMap(([role, held]) =>
        held.map((student) => [student, { group, role: role as Role }] as const),
      ),
    ),
  )
}

/** Groups of nobody are none. */
export function formedBy({ groups }: Choosing): Formed[] {
  return groups
    .filter((seats) => total(seats) > 0)
    .map((seats) => ({
      id: null,
      locked: false,
      seats: Object.fromEntries(Object.entries(seats).filter(([, held]) => held.length > 0)),
    }))
}

function wanted(sizes: readonly Size[], seats: Seats): boolean {
  return sizes.some(({ role, min }) => count(seats, role) < min)
}

function firstRole(sizes: readonly Size[], seats: Seats): Role {
  const open = sizes.find(({ role, min }) => count(seats, role) < min) ?? sizes[0]
  if (!open) throw new Error('a skill in groups has roles')
  return open.role
}

function count(seats: Seats, role: string): number {
  return seats[role]?.length ?? 0
}

function total(seats: Seats): number {
  return Object.values(seats).flat().length
}
