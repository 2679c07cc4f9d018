/** What the ways of a card ask beyond the hold, and for whom of tonight something is missing. */
import { groupsOf } from '../groups/seats'
import type { Card, Child, Tonight } from '../lesson/tonight'

export const KINDS = ['ways_in', 'shapes', 'ways_out'] as const
type Way = Card['ways_in'][number]

export interface NeedShown {
  /** Null where the card has one role: then it need not be said. */
  readonly role: Way['needs'][number]['role'] | null
  readonly says: string
  /** Names of tonight for whom something is missing, alphabetical. */
  readonly missing: readonly string[]
  /** Whether that is all who could take the role tonight. */
  readonly everybody: boolean
}

export interface WayShown {
  readonly key: string
  readonly name: string
  readonly spot: string | null
  readonly needs: readonly NeedShown[]
}

/** Of those in a group of the skill tonight each is asked for her own role, else all for each. */
export function waysOf(now: Tonight, card: Card, kind: (typeof KINDS)[number]): WayShown[] {
  const groups = groupsOf(now, card.skill)
  const alone = card.roles.filter((one) => one.role !== 'spotter').length === 1
  return card[kind].map((way) => ({
    key: way.key,
    name: way.name,
    spot: way.spot,
    needs: way.needs.map(({ role, says }) => {
      const seated = new Set(groups.flatMap((group) => group.seats[role] ?? []))
      const asked = now.here.filter(
        (child) => child.state === 'here' && (groups.length === 0 || seated.has(child.id)),
      )
      const missing = asked.filter((child) => misses(child, card, role, way))
      return {
        role: alone ? null : role,
        says,
        missing: missing.map((child) => child.name),
        everybody: missing.length > 1 && missing.length === asked.length,
      }
    }),
  }))
}

/** Of a child whom the server has not told of nothing is known to be there. */
function misses(child: Child, card: Card, role: string, way: Way): boolean {
  const line = child.skills.find((one) => one.skill === card.skill && one.role === role)
  return !line || line.without.includes(way.key)
}
