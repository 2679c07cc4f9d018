/** The groups of one skill as a screen shows them: the freshest, checked as the evening is now. */
import type { Card, Groups, MadeGroups, Role, Seats, Spot, Tonight } from '../lesson/tonight'
import { check, type Formed, type Found } from '../regroup'
import { words } from '../words/words'
import { spotOf, spottersOf, waysOf } from './advice'
import { askedOf, asOnTheSheet, type Around } from './asked'
import { conflictOf, type Conflict } from './conflict'
import { elsewhere } from './elsewhere'
import { lockedHere, type Locks } from './locks'
import { freshest, keptOf, seatsOf, type Source } from './seats'

export interface Somebody {
  readonly id: string
  readonly name: string
  /** In a group, and not here for it now. */
  readonly gone: boolean
}

export interface SeatsShown {
  readonly role: Role
  readonly students: readonly Somebody[]
}

export interface GroupShown {
  readonly number: number
  readonly id: string | null
  readonly turn: number
  /** For everybody, by the server; or on this phone alone. */
  readonly locked: 'everywhere' | 'here' | null
  readonly seats: readonly SeatsShown[]
  readonly spot: Spot | null
  readonly spotters: readonly string[]
  readonly ways_in: string
  readonly ways_out: string
  readonly stops: readonly Found[]
  readonly asks: readonly Found[]
  readonly says: readonly Found[]
}

export interface LeftShown {
  readonly student: { readonly id: string; readonly name: string }
  readonly sentence: string
  readonly alternative: string | null
}

export interface GroupsShown {
  readonly source: Source
  readonly groups: readonly GroupShown[]
  readonly still_to_place: readonly LeftShown[]
  /** For all groups together. */
  readonly stops: readonly Found[]
  /** Whether stops and asks are known: with no table and groups of this phone they are not. */
  readonly checked: boolean
  /** Of a proposal: whether by the rules nothing better exists. */
  readonly proven: boolean | null
  readonly conflict: Conflict | null
}

/** Null where nobody has formed or proposed groups of the skill; `asked` was proposed just now. */
export function viewOf(
  tonight: Tonight,
  card: Card,
  around: Around,
  locks: Locks,
  asked: Groups | null = null,
): GroupsShown | null {
  const found =
    freshest(tonight, card.skill) ?? (asked && { source: 'proposed' as const, groups: asked })
  if (!found) return null
  if (found.source === 'made') {
    const conflict = conflictOf(tonight, card.skill)
    const formed = withLocks(tonight, card.skill, found.made.groups, locks)
    return { ...formedView(tonight, card, around, formed, locks), source: 'made', conflict }
  }
  const { groups, source } = found
  const shared = { source, conflict: null } as const
  if (around.table && (!asOnTheSheet(tonight) || tonight.closed.has(card.skill_id))) {
    const formed = formedOf(groups, locks)
    return { ...formedView(tonight, card, around, formed, locks), ...shared }
  }
  return { ...toldView(tonight, card, groups, locks), ...shared }
}

/** The version that whoever changes the groups now has seen; 0: nothing was ever kept. */
export function versionNow(tonight: Tonight, skill: string, asked: Groups | null): number {
  const found = freshest(tonight, skill)
  if (found?.source !== 'made') return (found?.groups ?? asked)?.version ?? 0
  const { row } = found.made
  if (row.state === 'stored' && row.version !== null) return row.version
  return row.body.based_on ?? keptOf(tonight, skill)?.version ?? 0
}

/** Groups in whatever state of being changed, with what the phone finds in them. */
export function formedView(
  tonight: Tonight,
  card: Card,
  around: Around,
  formed: readonly Formed[],
  locks: Locks,
): Omit<GroupsShown, 'source' | 'conflict'> {
  const asked = askedOf(tonight, card, around)
  const found = asked && check(asked, formed)
  const spotters = spottersOf(tonight, card, around, formed.length)
  const groups = formed.map((group, at) => ({
    number: at + 1,
    id: group.id,
    turn: found?.groups[at]?.turn ?? 1,
    locked: lockOf(tonight, card.skill, group, locks),
    seats: seatsShown(tonight, card, group.seats),
    spot: spotOf(tonight, card, around.table, group.seats),
    spotters: spotters[at] ?? [],
    ways_in: words.groups.oneOf(waysOf(tonight, card, 'ways_in', group.seats)),
    ways_out: words.groups.oneOf(waysOf(tonight, card, 'ways_out', group.seats)),
    stops: found?.groups[at]?.stops ?? [],
    asks: found?.groups[at]?.asks ?? [],
    says: found?.groups[at]?.says ?? [],
  }))
  const placed = new Set(formed.flatMap(({ seats }) => Object.values(seats).flat()))
  const left = found
    ? found.stillToPlace
    : tonight.children
        .filter((one) => one.state === 'here' && !placed.has(one.id))
        .map((student) => ({ student, sentence: '' }))
  return {
    groups,
    still_to_place: left.map(({ student, sentence }) => ({
      student,
      sentence,
      alternative: elsewhere(tonight, card.skill, student.id),
    })),
    stops: found?.stops ?? [],
    checked: found !== null,
    proven: null,
  }
}

/** Groups as the server tells them, of an evening as it knows it. */
function toldView(tonight: Tonight, card: Card, told: Groups, locks: Locks) {
  const shown: Omit<GroupsShown, 'source' | 'conflict'> = {
    groups: told.groups.map((group) => ({
      ...group,
      locked: lockOf(tonight, card.skill, asFormed(group, locks), locks),
      seats: seatsShown(tonight, card, seatsOf(group.seats)),
    })),
    still_to_place: told.still_to_place.map(({ student, sentence, alternative }) => ({
      student,
      sentence,
      alternative: elsewhere(tonight, card.skill, student.id) ?? alternative?.sentence ?? null,
    })),
    stops: told.stops,
    checked: true,
    proven: told.proven,
  }
  return shown
}

/** What a view shows, as groups that may be changed. */
export function formedIn(view: Pick<GroupsShown, 'groups'>): Formed[] {
  return view.groups.map(({ id, seats, locked }) => ({
    id,
    locked: locked !== null,
    seats: seatsOf(seats),
  }))
}

function formedOf({ groups }: Groups, locks: Locks): Formed[] {
  return groups.map((group) => asFormed(group, locks))
}

function asFormed({ id, seats, locked }: Groups['groups'][number], locks: Locks): Formed {
  const held = seatsOf(seats)
  return { id, seats: held, locked: locked || lockedHere(locks, held) }
}

function withLocks(
  tonight: Tonight,
  skill: string,
  groups: MadeGroups['groups'],
  locks: Locks,
): Formed[] {
  return groups.map((group) => ({
    ...group,
    locked: lockOf(tonight, skill, group, locks) !== null,
  }))
}

function lockOf(
  tonight: Tonight,
  skill: string,
  { id, seats }: { id: string | null; seats: Seats },
  locks: Locks,
): GroupShown['locked'] {
  const kept = keptOf(tonight, skill)?.groups.find((one) => one.id === id)
  if (id !== null && kept?.locked) return 'everywhere'
  return lockedHere(locks, seats) ? 'here' : null
}

/** Roles as the card lists them, names as a class list is read out. */
function seatsShown({ children }: Tonight, card: Card, seats: Seats): SeatsShown[] {
  const known = new Map(children.map((one) => [one.id, one]))
  const order = new Map(children.map((one, at) => [one.id, at]))
  const place = (id: string) => order.get(id) ?? children.length
  return card.roles
    .filter(({ role }) => seats[role]?.length)
    .map(({ role }) => ({
      role,
      students: [...(seats[role] ?? [])]
        .sort((a, b) => place(a) - place(b))
        .map((id) => ({
          id,
          name: known.get(id)?.name ?? words.groups.hasLeft,
          gone: known.get(id)?.state !== 'here',
        })),
    }))
}
