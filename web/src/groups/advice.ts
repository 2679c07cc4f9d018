/** How a group formed on the phone is spotted, and its ways in and out: from the sheet. */
import type { Card, Child, PairTable, Seats, Spot, Tonight } from '../lesson/tonight'
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
 * where the phone does not know which of the adults may spot this.
 */
export function spottersOf(
  { lesson, sheet }: Tonight,
  table: PairTable | null,
  skill: string,
  groups: number,
): string[][] {
  const none = Array.from({ length: groups }, () => [])
  if (!table || table.adults_a_group === 0) return none
  const free = new Set(lesson.spotters.map((one) => one.name))
  const named = [...sheet.kept, ...sheet.proposed]
    .filter((one) => one.skill === skill)
    .flatMap((one) => one.groups.flatMap((group) => group.spotters))
    .filter((name) => free.has(name))
  const who = table.adults === free.size ? [...free] : [...new Set(named)]
  const enough = who.length >= table.adults_a_group
  if (!enough || who.length !== Math.min(table.adults, free.size)) return none
  who.sort(COLLATOR.compare)
  return none.map((_, at) =>
    Array.from(
      { length: table.adults_a_group },
      (_, more) => who[(at * table.adults_a_group + more) % who.length]!,
    ),
  )
}

const COLLATOR = new Intl.Collator('en')
