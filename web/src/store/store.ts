/** What one member has on this phone. One database for each member, never shared. */
import type { Bodies, Kind, Row, State } from './row'

export interface Settled {
  readonly id: string
  readonly state: Exclude<State, 'waiting'>
  readonly code: string | null
  readonly pointer: string | null
  readonly flags: readonly string[]
  readonly version: number | null
}

export interface Counts {
  readonly waiting: number
  /** How many of the waiting are tries. */
  readonly tries: number
  readonly held: number
  /** Refused and not put aside. */
  readonly refused: number
  /** When the oldest waiting row was made, in ms; null when none waits. */
  readonly since: number | null
}

/** A document that was read from the server, kept for when there is no signal. */
export interface Read {
  readonly url: string
  readonly etag: string | null
  readonly body: unknown
  readonly read_at: number
}

export interface Store {
  readonly member: string
  /** Resolves when the rows are on disk (strict durability), all of them or none. */
  add(rows: readonly Row[]): Promise<void>
  /** The oldest waiting rows of a kind. */
  waiting(kind: Kind, most: number): Promise<Row[]>
  /** Writes what the server answered; erased children's rows and names go at once. */
  settle(answers: readonly Settled[], now: number): Promise<void>
  ofLesson(lesson: string): Promise<Row[]>
  all(): Promise<Row[]>
  counts(): Promise<Counts>
  /**
   * A refused row waits again as it is, a child's as somebody corrected it; with her what was
   * refused since nobody knew her.
   */
  again(id: string, corrected?: Partial<Bodies['students']>): Promise<void>
  putAside(id: string): Promise<void>
  /**
   * Rows of lessons more than seven days before `today` that ask for nobody any more go, and
   * documents that were not read for four weeks.
   */
  forgetOld(today: string): Promise<void>
  read(url: string): Promise<Read | undefined>
  keep(read: Read): Promise<void>
  /** Documents go, and children on trial whom the server knows now; all other rows stay. */
  forgetNames(): Promise<void>
  /** Small choices of this member on this phone, such as the side of the thumb bar. */
  choice<T>(name: string): Promise<T | undefined>
  choose(name: string, value: unknown): Promise<void>
  close(): void
}
