/** Groups as one line each, to be read beside others. */
import type { Card, Seats, Tonight } from '../lesson/tonight'
import { words } from '../words/words'

const said = words.groups

export function linesOf(
  { children }: Tonight,
  card: Card,
  groups: readonly { readonly seats: Seats }[],
): string[] {
  const names = new Map(children.map((one) => [one.id, one.name]))
  const place = new Map(children.map((one, at) => [one.id, at]))
  return groups.map(({ seats }, at) => {
    const roles = card.roles.filter(({ role }) => seats[role]?.length)
    const parts = roles.map(({ role }) => {
      const held = [...(seats[role] ?? [])].sort(
        (a, b) => (place.get(a) ?? children.length) - (place.get(b) ?? children.length),
      )
      return said.inRole(role, said.joined(held.map((id) => names.get(id) ?? said.hasLeft)))
    })
    return said.line(at + 1, parts)
  })
}
