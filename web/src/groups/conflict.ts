/** What stands on the phone and what stands on the server, where the server has refused a row. */
import type { Groups, Tonight } from '../lesson/tonight'
import { keptOf } from './seats'

/**
 * `newer`: somebody else was first; `stopped`: something stops these groups, or a locked one would
 * change; `not_allowed`: a teacher keeps them; `other`: the server could not take them.
 */
export type Why = 'newer' | 'stopped' | 'not_allowed' | 'other'

export interface Conflict {
  readonly why: Why
  /** The server's, as last read; null: nothing is kept there. */
  readonly theirs: Groups | null
  /** Whether they are as new as the answer, so that they may be chosen or replaced. */
  readonly known: boolean
  /** What mine would be based on, if they are kept instead. */
  readonly version: number
}

export function conflictOf(tonight: Tonight, skill: string): Conflict | null {
  const card = tonight.cards.get(skill)
  const row = card && tonight.made.get(card.skill_id)?.row
  if (row?.state !== 'refused') return null
  const theirs = keptOf(tonight, skill)
  const read = theirs?.version ?? 0
  const answered = row.version ?? 0
  return {
    why: WHY.find((one) => one === row.code) ?? 'other',
    theirs: theirs && theirs.groups.length > 0 ? theirs : null,
    known: read >= answered,
    version: Math.max(read, answered),
  }
}

const WHY: readonly Why[] = ['newer', 'stopped', 'not_allowed']
