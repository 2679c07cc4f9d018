/** What the ways of a card ask beyond the hold, and for whom of tonight something is missing. */
import { groupsOf } from '../groups/seats'
import { rolesOf } from '../mat/units'
import type { Card, Child, Role, Tonight } from '../lesson/tonight'

export const KINDS = ['ways_in', 'shapes', 'ways_out'] as const
type Way = Card['ways_in'][number]

export interface NeedShown {
  /** Of whom the same is asked; none where the card has one role, which need not be said. */
  readonly roles: readonly Role[]
  readonly says: string
  /** Names of tonight for whom something is missing, alphabetical. */
  readonly missing: readonly string[]
  /** Whether that is all who could take the roles tonight. */
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
  const playing = now.here.filter((child) => child.state === 'here')
  const one = rolesOf(card).length === 1

  function asked(role: Role): readonly Child[] {
    if (groups.length === 0) return playing
    return playing.filter((child) => groups.some(({ seats }) => seats[role]?.includes(child.id)))
  }
  function need(way: Way, says: string): NeedShown {
    const roles = way.needs.filter((need) => need.says === says).map((need) => need.role)
    const all = playing.filter((child) => roles.some((role) => asked(role).includes(child)))
    const missing = all.filter((child) =>
      roles.some((role) => asked(role).includes(child) && misses(child, card, role, way)),
    )
    return {
      roles: one ? [] : roles,
      says,
      missing: missing.map((child) => child.name),
      everybody: missing.length > 1 && missing.length === all.length,
    }
  }
  return card[kind].map((way) => ({
    key: way.key,
    name: way.name,
    spot: way.spot,
    needs: [...new Set(way.needs.map((need) => need.says))].map((says) => need(way, says)),
  }))
}

/** Of a child whom the server has not told of nothing is known to be there. */
function misses(child: Child, card: Card, role: Role, way: Way): boolean {
  const line = child.skills.find((one) => one.skill === card.skill && one.role === role)
  return !line || line.without.includes(way.key)
}
