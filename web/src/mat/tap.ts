/** What a tap writes: tries of a group, a correction of one child, or a further try of hers. */
import { uuid7 } from '../ids/ids'
import type { Entry } from '../lesson/evening.svelte'
import type { Outcome, Spot, Try, Weight } from '../lesson/tonight'
import type { Seat } from './units'

/** How it was done, as the head of the station says. */
export interface Way {
  readonly spot: Spot
  readonly way_in: string | null
  readonly way_out: string | null
}

export interface Said {
  readonly outcome: Outcome
  readonly measure?: number | undefined
}

/** One row for each child, as one physical try. */
export function entriesOf(skill: string, seats: readonly Seat[], way: Way, said: Said): Entry[] {
  const try_id = uuid7()
  const weight = weightOf(seats.length, said.outcome)
  return seats.map(({ child, role }) => ({
    student: child.id,
    skill,
    role,
    outcome: said.outcome,
    weight,
    try_id,
    spot: way.spot,
    ...(said.measure === undefined ? {} : { measure: said.measure }),
    ...(way.way_in ? { way_in: way.way_in } : {}),
    ...(way.way_out ? { way_out: way.way_out } : {}),
  }))
}

/** A group that came down says less about each of its children: it may have been another's part. */
function weightOf(children: number, outcome: Outcome): Weight {
  return children > 1 && outcome === 'not_there' ? 'together' : 'own'
}

export interface Tap {
  /** In ms, by the clock of events. */
  readonly at: number
  readonly attempts: readonly string[]
}

export const CORRECTED_WITHIN_MS = 10_000

/**
 * The try that another outcome on this child corrects: her last one, for ten seconds after the tap
 * that wrote it. Null: the outcome is a further try.
 */
export function correctedBy(
  taps: readonly Tap[],
  tries: readonly Try[],
  student: string,
  outcome: Outcome,
  at: number,
): Try | null {
  const last = tries.findLast((one) => one.student === student)
  if (!last || last.outcome === outcome) return null
  const tap = taps.findLast((one) => one.attempts.includes(last.attempt))
  return tap && at - tap.at <= CORRECTED_WITHIN_MS ? last : null
}

/** The rows of the physical try that came last on this phone. */
export function lastTried(tries: readonly Try[]): Try[] {
  const last = tries.findLast((one) => one.state !== null)
  return last ? tries.filter((one) => one.try_id === last.try_id) : []
}
