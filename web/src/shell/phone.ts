/** What every screen stands on: who is signed in, what is on this phone, and how it is sent. */
import type { Ask } from '../api/client'
import type { components } from '../api/schema'
import type { Counts, Store } from '../store/store'

export interface Member {
  readonly member: string
  readonly name: string
  readonly school: string
  readonly school_name: string
  readonly role: 'head_teacher' | 'teacher' | 'assistant'
  /** The last day of a cover teacher's access. */
  readonly until: string | null
  /** Her access has ended: she can hand in what she has left, and no more. */
  readonly ended?: boolean
}

/** Whether there is anything for her at the desk. */
export function hasDesk(role: Member['role']): boolean {
  return role !== 'assistant'
}

/**
 * `signed_in`: the server said so, last time it was asked. `ended`: it has answered that nobody is
 * signed in; logging goes on, sending waits. `unknown`: not asked yet, or no signal.
 */
export type SignedIn = 'unknown' | 'signed_in' | 'ended'

/** Reactive: its fields are `$state`. */
export interface Session {
  readonly signedIn: SignedIn
  /** Whose rows this phone is writing now, remembered through a killed browser. */
  readonly member: Member | null
}

/** One document of the server: what was kept is shown first, then what is there now. */
export interface Reading<T> {
  readonly body: T | null
  /** When the body was read, in ms of this phone's clock. */
  readonly read_at: number | null
  /** `kept`: from this phone; `fresh`: as the server has it now; `none`: never read. */
  readonly from: 'none' | 'kept' | 'fresh'
  /** Why the last refresh did not bring it: no signal, or the status that was answered. */
  readonly trouble: null | 'no_signal' | number
  refresh(): Promise<void>
}

export interface Sync {
  /** Reactive: what is on this phone. */
  readonly counts: Counts
  /** Reactive: false while the disk has not told them; then nobody may say that all is sent. */
  readonly known: boolean
  /** Reactive: what sending is up to; `update`: this client is too old to send. */
  readonly standing: 'idle' | 'sending' | 'waiting' | 'signed_out' | 'other_member' | 'update'
  /** Rows have been added: send soon, and tell other tabs. */
  poke(): void
  /** A person asks for it: without waiting out the time between tries. */
  now(): Promise<void>
  /** Calls back after rows were added or settled, in this tab or another; returns the way out. */
  watch(changed: () => void): () => void
  /** Nothing more is sent. */
  close(): void
}

export interface Clock {
  /** This phone's clock in ms. */
  now(): number
  /** What to add to it for the server's time, as last measured; frozen into a row at the tap. */
  offset_ms(): number
}

export interface Phone {
  readonly session: Session & { readonly member: Member }
  readonly store: Store
  readonly sync: Sync
  readonly clock: Clock
  /** The same object for the same address; it refreshes whenever a screen asks for it. */
  reading<T>(url: string): Reading<T>
  /** What can be done with a signal alone; asked for the member of this phone. */
  readonly ask: Ask
}

export type Sheet = components['schemas']['LessonSheet']

let current: Phone | null = null

/** The phone of the signed-in member. Screens exist only while there is one. */
export function phone(): Phone {
  if (!current) throw new Error('no member on this phone')
  return current
}

export function usePhone(next: Phone | null): void {
  current = next
}
