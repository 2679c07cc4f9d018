/** One clock for a whole class: who comes down when, and how long each has held. */
import { seconds } from './measure'

/** Child -> when she came down, in ms by the clock of events. */
export type Down = ReadonlyMap<string, number>

/** Comes down; a second tap is a slip taken back: she is still up. */
export function touched(down: Down, student: string, at: number): Down {
  const next = new Map(down)
  if (!next.delete(student)) next.set(student, at)
  return next
}

/**
 * Seconds held by each. Whoever is still up at the end has held as long as the card asks, or until
 * then if that is sooner: at the figure everybody comes down.
 */
export function held(
  up: readonly string[],
  down: Down,
  from: number,
  to: number,
  figure: number,
): Map<string, number> {
  return new Map(
    up.map((id) => {
      const at = down.get(id)
      return [id, at === undefined ? Math.min(seconds(from, to), figure) : seconds(from, at)]
    }),
  )
}
