/** How a group formed on the phone is spotted, and its ways in and out: from the sheet. */
import {
  byName,
  type Card,
  type Child,
  type PairTable,
  type Seats,
  type Spot,
  type Tonight,
} from '../lesson/tonight'
import { maySpot, type Around } from './asked'
import { studentsIn } from './seats'

const STRICTEST_FIRST = ['hands_on', 'hands_near', 'none'] as const

/**
 * The spot to begin with: the strictest that is advised for flyers, else for everybody in the
 * group, and hands on for two who are new to each other. Null where nobody spots.
 */
export function spotOf(
  { children }: Tonight,
  card: Card,
  table: PairTable | null,
  seats: Seats,
): Spot | null {
  if (!card.spotted || studentsIn(seats).length === 0) return null
  const known = new Map(children.map((one) => [one.id, one]))
  const newPair = hasNewPair(table, studentsIn(seats))
  const spotted = seats.flyer?.length ? { flyer: seats.flyer } : seats
  const advised = Object.entries(spotted).flatMap(([role, held]) =>
    held.map((id) => advisedFor(known.get(id), card.skill, role, newPair)),
  )
  return STRICTEST_FIRST.find((spot) => advised.includes(spot)) ?? 'hands_on'
}

function advisedFor(
  child: Child | undefined,
  skill: string,
  role: string,
  newPair: boolean,
): Spot {
  // Hands stay near whoever's guardian has not agreed to more: of her nothing on the sheet says
  // hands on, not even of what she has never tried. A child on trial has agreed to nothing.
  if (!child?.skills.some((one) => one.spot === 'hands_on')) return 'hands_near'
  if (newPair) return 'hands_on'
  const line = child.skills.find((one) => one.skill === skill && one.role === role)
  return line?.spot ?? 'hands_on'
}

function hasNewPair(table: PairTable | null, ids: readonly string[]): boolean {
  if (!table) return true
  const place = new Map(table.children.map((id, at) => [id, at]))
  const past = new Set(table.past_pairs.map(([a, b]) => `${a} ${b}`))
  return ids.some((one, at) =>
    ids.slice(at + 1).some((other) => {
      const [a, b] = [place.get(one), place.get(other)]
      return !past.has(`${a} ${b}`) && !past.has(`${b} ${a}`)
    }),
  )
}

/** The names of the ways for which nobody in the group misses anything. */
export function waysOf(
  { children }: Tonight,
  card: Card,
  ways: 'ways_in' | 'ways_out',
  seats: Seats,
): string[] {
  const missing = new Set(
    Object.entries(seats).flatMap(([role, held]) =>
      held.flatMap((id) => {
        const child = children.find((one) => one.id === id)
        const line = child?.skills.find((one) => one.skill === card.skill && one.role === role)
        return line?.without ?? []
      }),
    ),
  )
  return card[ways].filter((way) => !missing.has(way.key)).map((way) => way.name)
}

/**
 * Who spots each group: adults in the order of their names take the groups in turn. Nobody is named
 * where the phone does not know of one of them whether she may spot this.
 */
export function spottersOf(
  { lesson }: Tonight,
  card: Card,
  { table, staff }: Around,
  groups: number,
): string[][] {
  const none = Array.from({ length: groups }, () => [])
  const each = table?.adults_a_group ?? 0
  const spots = maySpot(staff, card)
  const who = lesson.spotters.filter((one) => spots(one) !== false).sort(byName)
  if (who.length < each || who.some((one) => spots(one) === null)) return none
  return none.map((_, at) =>
    Array.from({ length: each }, (_, more) => who[(at * each + more) % who.length]!.name),
  )
}
