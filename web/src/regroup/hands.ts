/** Changes by hand: they only move children, and say nothing of what that leads to. */

import { copy, studentsOf } from './formed'
import type { Formed, Group, Moved, Swapped } from './tonight'

export const swapped: Swapped = (groups, one, other) =>
  groups.map((group) => mapped(group, (id) => (id === one ? other : id === other ? one : id)))

export const moved: Moved = (groups, student, { group, role }) => {
  const left = groups.map((one) => without(one, student))
  if (role === null) return left.filter((one) => studentsOf(one).length)
  const joined = left.map((one, index) =>
    index === group
      ? { ...one, seats: { ...one.seats, [role]: [...(one.seats[role] ?? []), student] } }
      : one,
  )
  const fresh = { id: null, locked: false, seats: { [role]: [student] } }
  return [...joined, ...(group === null ? [fresh] : [])].filter((one) => studentsOf(one).length)
}

function mapped(group: Formed, to: (id: string) => string): Group {
  const seats = Object.entries(group.seats).map(([role, held]) => [role, held.map(to)] as const)
  return { ...copy(group), seats: Object.fromEntries(seats) }
}

export function without(group: Formed, student: string): Group {
  const seats = Object.entries(group.seats)
    .map(([role, held]) => [role, held.filter((id) => id !== student)] as const)
    .filter(([, held]) => held.length)
  return { ...copy(group), seats: Object.fromEntries(seats) }
}
