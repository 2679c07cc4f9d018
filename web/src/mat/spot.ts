/** The spot that a station begins with: tonight's advice, and never “no spot” by itself. */
import { spotOf } from '../groups/advice'
import { tableIn } from '../groups/asked'
import type { Card, Role, Spot, Tonight } from '../lesson/tonight'

export const SPOTS = ['hands_on', 'hands_near', 'none'] as const

interface Seat {
  readonly child: Tonight['children'][number]
  readonly role: Role
}

export function spotToBegin(now: Tonight, card: Card, seats: readonly Seat[]): Spot {
  if (!card.spotted) return 'none'
  const advised = seats.length === 1 ? alone(seats[0]!, card) : inAGroup(now, card, seats)
  // To go without is a person's choice at the mat, whatever has been seen so far.
  return advised === 'none' ? 'hands_near' : advised
}

/** The one spot of all of them, or null where they differ. */
export function commonSpot(spots: readonly Spot[]): Spot | null {
  const [first = null, ...others] = new Set(spots)
  return others.length === 0 ? first : null
}

function inAGroup(now: Tonight, card: Card, seats: readonly Seat[]): Spot {
  const held: Partial<Record<Role, string[]>> = {}
  for (const { role, child } of seats) (held[role] ??= []).push(child.id)
  return spotOf(now, card, tableIn(now, card.skill), held) ?? 'hands_on'
}

function alone({ child, role }: Seat, card: Card): Spot {
  const line = child.skills.find((one) => one.skill === card.skill && one.role === role)
  if (line?.spot) return line.spot
  // Of whom nothing says hands on, her guardian has not agreed to it, as far as the sheet tells.
  return child.skills.some((one) => one.spot === 'hands_on') ? 'hands_on' : 'hands_near'
}
