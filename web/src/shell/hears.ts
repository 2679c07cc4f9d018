/** What every answer of the server tells beside what it was asked for. */
import type { Heard } from '../api/client'

interface Told {
  readonly now: () => number
  readonly measure: (heard: Heard) => void
  /** Nobody is signed in any more. */
  readonly ended: () => void
  /** Somebody else is signed in than whose rows these are. */
  readonly other: () => void
  /** There is an answer again after there was none. */
  readonly signal: () => void
}

const SIGNAL_MS = 10_000

export function hears({ now, measure, ended, other, signal }: Told): (heard: Heard) => void {
  let silent = false
  let told = -Infinity
  return (heard) => {
    const { reply } = heard
    if (reply.is === 'silence') {
      silent = true
      return
    }
    measure(heard)
    if (reply.is === 'refusal' && reply.problem.code === 'signed_out') ended()
    if (reply.is === 'refusal' && reply.problem.code === 'other_member') other()
    // Some of a server may answer and some not: then this must not go round and round.
    if (!silent || Math.abs(now() - told) < SIGNAL_MS) return
    silent = false
    told = now()
    signal()
  }
}
