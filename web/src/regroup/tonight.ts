/** What the groups of one skill are worked out from on the phone, and what is said of them.
 *
 * Children are meant by their ids. Shapes that the service has too are the service's own, so that
 * a screen shows what the phone finds and what the service says in one way. */

import type { components } from '../api/schema'

type Schemas = components['schemas']

export type PairTable = Schemas['PairTable']
export type Role = Schemas['TableRole']['role']
export type Found = Schemas['Found']
export type Change = Schemas['Change']
/** Role -> ids of children. */
export type Seats = Schemas['GroupFormed']['seats']

export interface Tonight {
  readonly table: PairTable
  readonly card: Pick<Schemas['SheetCard'], 'roles' | 'learning_size' | 'lifted' | 'spotted'>
  /** Who is here and up for it: neither those who are away nor those who are not today. */
  readonly here: readonly string[]
  readonly notToday?: readonly string[] | undefined
  /** The names of all on the list and of whoever was added on this phone. */
  readonly names: ReadonlyMap<string, string>
  /** Adults free who may spot this skill, as counted here; else as the table has it. */
  readonly adults?: number | undefined
  /** Adults in the room, and how many the school wants there, where that is known here; else a
   * stop for it is as the table has it. */
  readonly room?: { readonly there: number; readonly needed: number } | undefined
  readonly mats?: number | undefined
  /** To her is said which groups a teacher looks at first. */
  readonly assistant: boolean
  /** Says of the service about groups of this skill: those that still hold are said again. */
  readonly says?: readonly Found[] | undefined
}

/** A group as somebody formed it. `id` is that of a kept group. */
export interface Formed {
  readonly id: string | null
  readonly seats: { readonly [role: string]: readonly string[] }
  readonly locked: boolean
}

/** A group as it comes out of here: its seats may be sent. */
export interface Group extends Formed {
  readonly seats: Seats
}

export interface CheckedGroup extends Group {
  /** From 1. */
  readonly number: number
  /** The turn under the adults who spot. */
  readonly turn: number
  readonly stops: Found[]
  readonly asks: Found[]
  readonly says: Found[]
  /** Whether an assistant leaves this group to a teacher. */
  readonly forATeacher: boolean
}

export type Reason =
  | 'not_ready'
  | 'barred'
  | 'no_fitting_partner'
  | 'no_spotter'
  | 'no_mat'
  | 'would_break_another'
  | 'not_known'

export interface Left {
  readonly student: { readonly id: string; readonly name: string }
  readonly reason: Reason
  readonly sentence: string
}

export interface Checked {
  readonly groups: CheckedGroup[]
  /** For all groups together. */
  readonly stops: Found[]
  /** Alphabetical. */
  readonly stillToPlace: Left[]
}

/** What groups are worth, the most important first. `kept` is how many keep group and role where
 * groups stood before, else 0. */
export interface Worth {
  readonly placed: number
  readonly kept: number
  readonly fairness: number
  readonly asks: number
  readonly repeats: number
}

export interface Proposal extends Checked {
  /** Whether by the rules nothing better exists; else it is the best that was found. */
  readonly proven: boolean
  readonly worth: Worth
}

/** What must be otherwise, and the groups after it. */
export interface Mended {
  readonly changes: Change[]
  readonly groups: Group[]
}

/** The groups with a place for her, or why there is none. */
export type TakenIn =
  | { readonly placed: true; readonly groups: Group[]; readonly changes: Change[] }
  | { readonly placed: false; readonly sentence: string }

/** Groups round what is locked and with the least change of what stood. */
export type Propose = (tonight: Tonight, before?: readonly Formed[]) => Proposal
/** What stops, what asks and what is said in groups as they were formed. */
export type Check = (tonight: Tonight, groups: readonly Formed[]) => Checked
/** Null where nothing stops, or where a stop holds for the whole class. */
export type LeastChange = (tonight: Tonight, groups: readonly Formed[]) => Mended | null
/** For a child who comes late; `here` holds her already. */
export type Latecomer = (tonight: Tonight, groups: readonly Formed[], student: string) => TakenIn
/** For a child who leaves; her place is refilled with the least change. */
export type Leaves = (tonight: Tonight, groups: readonly Formed[], student: string) => Mended
/** Two children in each other's place; one of them may have none. */
export type Swapped = (groups: readonly Formed[], one: string, other: string) => Group[]
/** A child in a role of the group at this place in the list; null: in a new group. Without a role
 * she is in none. */
export type Moved = (
  groups: readonly Formed[],
  student: string,
  to: { readonly group: number | null; readonly role: Role | null },
) => Group[]
