/** Who holds which role in which group of a skill, as this phone knows it now. */
import type { Groups, MadeGroups, Seats, Tonight } from '../lesson/tonight'

/** From where groups are: made on this phone, kept on the server, or only proposed. */
export type Source = 'made' | 'kept' | 'proposed'

export interface Placed {
  /** Null where the server has not kept the group. */
  readonly id: string | null
  readonly seats: Seats
}

/** The freshest groups of a skill: what was made here, else what is kept, else what is proposed. */
export type Freshest =
  | { readonly source: 'made'; readonly made: MadeGroups }
  | { readonly source: 'kept' | 'proposed'; readonly groups: Groups }

export function freshest(tonight: Tonight, skill: string): Freshest | null {
  const card = tonight.cards.get(skill)
  const made = card && tonight.made.get(card.skill_id)
  if (made) return { source: 'made', made }
  const kept = keptOf(tonight, skill)
  // Groups that were taken back leave a version behind, and nothing else.
  if (kept && kept.groups.length > 0) return { source: 'kept', groups: kept }
  const proposed = tonight.sheet.proposed.find((one) => one.skill === skill)
  return proposed ? { source: 'proposed', groups: proposed } : null
}

export function keptOf(tonight: Tonight, skill: string): Groups | null {
  return tonight.sheet.kept.find((one) => one.skill === skill) ?? null
}

/** The groups of a skill in their order; none where nobody has formed or proposed any. */
export function groupsOf(tonight: Tonight, skill: string): Placed[] {
  const found = freshest(tonight, skill)
  if (!found) return []
  if (found.source === 'made') return [...found.made.groups]
  return found.groups.groups.map(({ id, seats }) => ({ id, seats: seatsOf(seats) }))
}

interface SeatsNamed {
  readonly role: string
  readonly students: readonly { readonly id: string }[]
}

/** Role -> ids, from roles as the server tells them with names. */
export function seatsOf(seats: readonly SeatsNamed[]): Seats {
  return Object.fromEntries(
    seats.map(({ role, students }) => [role, students.map((student) => student.id)]),
  )
}

/** Everybody in a group, in the order of the roles. */
export function studentsIn(seats: Seats): string[] {
  return Object.values(seats).flat()
}

/** Who is in which role, as one word that is the same in whatever order they stand. */
export function placesOf(seats: Seats): string {
  return Object.entries(seats)
    .filter(([, held]) => held.length > 0)
    .map(([role, held]) => `${role} ${[...held].sort().join(' ')}`)
    .sort()
    .join(', ')
}
