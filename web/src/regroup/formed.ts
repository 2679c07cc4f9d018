/** Groups as somebody formed them, seen by the table; and which group carries on which. */

import { members, type Seating, type Table } from './table'
import type { Formed, Group, Seats } from './tonight'

/** Who of a group is here and in a role of the table. */
export function seatingOf(table: Table, here: ReadonlySet<string>, { seats }: Formed): Seating {
  return mapped(table, (role) =>
    (seats[role] ?? [])
      .filter((id) => here.has(id))
      .map((id) => table.place(id))
      .filter((at) => at !== undefined)
      .sort((one, other) => one - other),
  )
}

/** The ids of a group, its roles and children in the table's order. */
export const seatsOf = (table: Table, seating: Seating): Seats =>
  mapped(table, (role) =>
    [...(seating[role] ?? [])].sort((one, other) => one - other).map((at) => table.id(at)),
  )

function mapped<T>(table: Table, held: (role: string) => T[]): Record<string, T[]> {
  const all = table.said.roles.map(({ role }) => [role, held(role)] as const)
  return Object.fromEntries(all.filter(([, some]) => some.length))
}

export const studentsOf = ({ seats }: Formed): string[] => Object.values(seats).flat()

/** Who is in which role, for comparing. */
export const placesOf = ({ seats }: Formed): Set<string> =>
  new Set(Object.entries(seats).flatMap(([role, held]) => held.map((id) => `${role} ${id}`)))

export const copy = ({ id, seats, locked }: Formed): Group => ({
  id,
  locked,
  seats: Object.fromEntries(Object.entries(seats).map(([role, held]) => [role, [...held]])),
})

export interface CarriedOn {
  /** For each group before its next self, or null. */
  readonly became: readonly (Group | null)[]
  readonly fresh: readonly Group[]
}

/** Which group of those found carries on which one before: the two that share the most places
 * first, then the most children. It keeps the id, and the lock if nobody changed. */
export function carriedOn(
  table: Table,
  found: readonly Seating[],
  before: readonly Formed[],
): CarriedOn {
  const made = [...found]
    .sort((one, other) => Math.min(...members(one)) - Math.min(...members(other)))
    .map((seating) => seatsOf(table, seating))
  const shares = before
    .flatMap((old, there) => made.map((seats, here) => ({ there, here, ...sharing(old, seats) })))
    .filter(({ students }) => students)
    .sort(
      (one, other) =>
        other.places - one.places ||
        other.students - one.students ||
        one.there - other.there ||
        one.here - other.here,
    )
  const next = new Map<number, number>()
  for (const { there, here } of shares) {
    if (!next.has(there) && ![...next.values()].includes(here)) next.set(there, here)
  }
  const carried = new Set(next.values())
  return {
    became: before.map((old, there) => {
      const seats = made[next.get(there) ?? -1]
      return seats ? nextSelf(old, seats) : null
    }),
    fresh: made
      .filter((_, here) => !carried.has(here))
      .map((seats) => ({ id: null, seats, locked: false })),
  }
}

export const allOf = ({ became, fresh }: CarriedOn): Group[] => [
  ...became.filter((group) => group !== null),
  ...fresh,
]

function sharing(old: Formed, seats: Seats) {
  const there = new Set(studentsOf(old))
  const students = Object.values(seats)
    .flat()
    .filter((id) => there.has(id)).length
  const places = placesOf(old)
  const same = Object.entries(seats).flatMap(([role, held]) =>
    held.filter((id) => places.has(`${role} ${id}`)),
  )
  return { students, places: same.length }
}

function nextSelf(old: Formed, seats: Seats): Group {
  const { places, students } = sharing(old, seats)
  const same =
    places === students &&
    students === studentsOf(old).length &&
    students === Object.values(seats).flat().length
  return { id: old.id, seats, locked: old.locked && same }
}
