/** Groups, and those without one, as lines. */
import type { Card, Seats, Tonight } from '../lesson/tonight'
import { words } from '../words/words'
import type { LeftShown } from './view'

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

export interface LeftLine {
  readonly line: string
  readonly students: LeftShown['student'][]
}

/** Those still to place; what holds for several is said once. */
export function leftLines(left: readonly LeftShown[]): LeftLine[] {
  const lines = new Map<string, LeftLine>()
  for (const { student, sentence, alternative } of left) {
    const line = said.leftLine(sentence, alternative)
    const known = lines.get(line)
    if (known) known.students.push(student)
    else lines.set(line, { line, students: [student] })
  }
  return [...lines.values()]
}
