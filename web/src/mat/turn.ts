/** The list turns like the line of children: who has just tried goes to the end. */
import type { Try } from '../lesson/tonight'
import type { Unit } from './units'

/** Child -> behind which try she joined, counted from 1; a half is between two tries. */
export type Joined = ReadonlyMap<string, number>

/** Who stood in the line at the beginning is before all tries; who comes later is behind them. */
export function joined(before: Joined | null, here: readonly string[], tries: number): Joined {
  return new Map(here.map((id) => [id, before ? (before.get(id) ?? tries + 0.5) : 0]))
}

/** Units in the order of their turns; those who are even stay as they stood. */
export function turned(units: readonly Unit[], tries: readonly Try[], line: Joined): Unit[] {
  const last = new Map(tries.map((one, index) => [one.student, index + 1]))
  const turn = ({ seats }: Unit) =>
    Math.max(...seats.flatMap(({ child: { id } }) => [last.get(id) ?? 0, line.get(id) ?? 0]))
  return [...units].sort((a, b) => turn(a) - turn(b))
}

export interface Touch {
  /** The row that was touched, and when, in ms. */
  readonly key: string
  readonly at: number
  readonly x: number
  readonly y: number
}

/** Sooner than this a second tap is the echo of the first: no finger means it. */
export const ECHO_MS = 300
const ECHO_PX = 24

/** A second touch of a finger that has not gone away: it meant the row that was there before. */
export function isEcho(before: Touch | null, touch: Touch): boolean {
  return (
    before !== null &&
    before.key !== touch.key &&
    touch.at - before.at < ECHO_MS &&
    Math.hypot(touch.x - before.x, touch.y - before.y) < ECHO_PX
  )
}
