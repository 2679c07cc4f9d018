/** The way in or out that a station begins with. */
import type { Card } from '../lesson/tonight'
import type { Unit } from './units'

/** The first for which nobody misses anything, else the first; null where the card has none. */
export function wayToBegin(
  card: Card,
  which: 'ways_in' | 'ways_out',
  units: readonly Unit[],
): string | null {
  const missing = new Set(
    units.flatMap(({ seats }) =>
      seats.flatMap(({ child, role }) =>
        child.skills
          .filter((one) => one.skill === card.skill && one.role === role)
          .flatMap((one) => one.without),
      ),
    ),
  )
  const ways = card[which]
  return (ways.find((way) => !missing.has(way.key)) ?? ways[0])?.key ?? null
}
