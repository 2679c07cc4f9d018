/** Where else a child could go by hand: roles of groups that have room, or a new group. */
import type { Card, PairTable, Role } from '../lesson/tonight'
import { sizesOf } from './choosing'
import type { GroupShown } from './view'

export interface FreePlace {
  /** By its place in the list; null: a new group. */
  readonly group: number | null
  readonly role: Role
}

export function placesFor(
  card: Card,
  table: PairTable | null,
  groups: readonly GroupShown[],
  student: string,
): FreePlace[] {
  const sizes = sizesOf(card, table)
  const found = groups.flatMap(({ seats, locked }, group) => {
    if (locked) return []
    return sizes
      .filter(({ role, max }) => {
        const held = seats.find((one) => one.role === role)?.students ?? []
        return held.length < max && !held.some((one) => one.id === student)
      })
      .map(({ role }): FreePlace => ({ group, role }))
  })
  return [...found, ...sizes.map(({ role }): FreePlace => ({ group: null, role }))]
}
