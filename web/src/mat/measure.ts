/** What a number says: at the card's figure clean, from half of it shaky, else not there. */
import type { Card, Outcome } from '../lesson/tonight'

type Measure = NonNullable<Card['measure']>

export function outcomeOf(measured: number, { figure }: Pick<Measure, 'figure'>): Outcome {
  if (measured >= figure) return 'clean'
  return measured >= figure / 2 ? 'shaky' : 'not_there'
}

/** Seconds between two moments in ms, as a clock shows them: never more than has gone by. */
export function seconds(from: number, to: number): number {
  return Math.max(0, Math.floor((to - from) / 100)) / 10
}

/** The numbers that may come of counting, by what they say. */
export function numbers(measure: Measure): { outcome: Outcome; all: number[] }[] {
  const most = Math.ceil(measure.figure + Math.max(4, measure.figure / 2))
  const all = Array.from({ length: most + 1 }, (_, number) => number)
  return (['not_there', 'shaky', 'clean'] as const)
    .map((outcome) => ({
      outcome,
      all: all.filter((number) => outcomeOf(number, measure) === outcome),
    }))
    .filter((one) => one.all.length > 0)
}

export function isHeld(card: Card): boolean {
  return card.measure?.unit === 's'
}

/** Whether a whole class may do it at one time: each alone, and nobody under a spot. */
export function isForAllAtOnce(card: Card): boolean {
  return isHeld(card) && card.alone && !card.spotted
}
