/** What a person enters is a row; on this phone it is in one of four states until it is old. */
import type { components } from '../api/schema'

type Schemas = components['schemas']

/** What each kind of row is sent as. A lesson's row is what a teacher says about one evening. */
export interface Bodies {
  students: Schemas['TrialEntry']
  attendance: Schemas['AttendanceEntry']
  attempts: Schemas['AttemptEntry']
  falls: Schemas['FallEntry']
  groups: Schemas['GroupsMade']
  lesson: { id: string; said: Schemas['PatchedLessonChange'] }
}

export type Kind = keyof Bodies

/** The order in which kinds are sent: a child before her tries, tries before what hangs on them. */
export const KINDS: readonly Kind[] = [
  'students',
  'attendance',
  'attempts',
  'falls',
  'groups',
  'lesson',
]

/**
 * `waiting`: not answered, or maybe on the server already. `stored`, `held` (a head teacher will
 * decide) and `refused` (with a code) are what the server has answered.
 */
export type State = 'waiting' | 'stored' | 'held' | 'refused'

interface Common {
  /** The body's id: what answers are matched by. */
  readonly id: string
  /** The lesson it belongs to, and that lesson's local date. */
  readonly lesson: string
  readonly on: string
  /** This phone's clock in ms when it was written. */
  readonly made_at: number
  readonly state: State
  readonly settled_at: number | null
  readonly code: string | null
  readonly pointer: string | null
  readonly flags: readonly string[]
  /** Of groups: the version that stands on the server, as it was answered. */
  readonly version: number | null
  /** A refused row that a person has put aside; it is kept and not shown as something to do. */
  readonly aside: boolean
}

export type RowOf<K extends Kind> = Common & { readonly kind: K; readonly body: Bodies[K] }
export type Row = { [K in Kind]: RowOf<K> }[Kind]

const NOT_ANSWERED = {
  state: 'waiting',
  settled_at: null,
  code: null,
  pointer: null,
  flags: [],
  version: null,
  aside: false,
} as const

/** A row as it comes from a tap. */
export function made<K extends Kind>(
  kind: K,
  body: Bodies[K],
  lesson: string,
  on: string,
  now: number,
): RowOf<K> {
  return { ...NOT_ANSWERED, id: body.id, kind, body, lesson, on, made_at: now }
}

/** A row from the disk, with what the build that wrote it did not know yet. */
export function readable(row: Row): Row {
  return { ...NOT_ANSWERED, ...row }
}

/** The child that a row is about, if it is about one. */
export function about({ kind, body }: Row): string | null {
  if (kind === 'students') return body.id
  return 'student' in body ? body.student : null
}
