/** What one member has on this phone. One database for each member, never shared. */
import type { Kind, Row, State } from './row'

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
  /** A refused row waits again, as it is. */
  again(id: string): Promise<void>
  putAside(id: string): Promise<void>
  /** Settled rows of lessons more than seven days before `today` go. */
  forgetOld(today: string): Promise<void>
  read(url: string): Promise<Read | undefined>
  keep(read: Read): Promise<void>
  /** All documents go, because they hold names; rows stay. */
  forgetReads(): Promise<void>
  /** Small choices of this member on this phone, such as the side of the thumb bar. */
  choice<T>(name: string): Promise<T | undefined>
  choose(name: string, value: unknown): Promise<void>
  close(): void
}
