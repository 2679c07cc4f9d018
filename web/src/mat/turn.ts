/** The list turns like the line of children: who has just tried goes to the end. */
import type { Try } from '../lesson/tonight'
import { echoes, type Tap } from '../parts/echo'
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

export interface Touch extends Tap {
  /** The row that was touched. */
  readonly key: string
}

/** A second touch of a finger that has not gone away: it meant the row that was there before. */
export function isEcho(before: Touch | null, touch: Touch): boolean {
  return before !== null && before.key !== touch.key && echoes(before, touch)
}
