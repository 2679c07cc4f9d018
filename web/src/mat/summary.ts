/** How a station went, one line for each child: what tonight's tries suggest. */
import type { Entry } from '../lesson/evening.svelte'
import type { Card, Outcome, Role, Spot, Tonight, Try } from '../lesson/tonight'
import { isGroup, triesAt, unitsOf, type Seat } from './units'

export interface Line extends Seat {
  /** Whether she was at the station: “everybody” means these. */
  readonly inIt: boolean
  readonly spot: Spot
  /** From tonight's tries; null: she has none. */
  readonly suggested: Outcome | null
  /** What was said before about tonight. */
  readonly said: Try | null
}

const FROM_LEAST = ['not_there', 'shaky', 'clean'] as const

/** By name; `barred` rest from it and have not tried. */
export function linesOf(now: Tonight, card: Card): { lines: Line[]; barred: Line[] } {
  const tries = triesAt(now, card)
  const lines: Line[] = []
  const barred: Line[] = []
  for (const unit of unitsOf(now, card, null)) {
    const { seats, spot, bars } = unit
    for (const seat of seats) {
      const hers = tries.filter((one) => one.student === seat.child.id)
      const said = hers.findLast((one) => one.weight === 'summary') ?? null
      const tried = hers.filter((one) => one.weight !== 'summary')
      const kept = bars.some((one) => one.child.id === seat.child.id) && hers.length === 0
      const into = kept ? barred : lines
      const inIt = card.alone || isGroup(unit) || hers.length > 0
      into.push({ ...seat, ...asDone(tried, seat.role, spot), inIt, suggested: usual(tried), said })
    }
  }
  const byName = new Map(now.children.map((child, index) => [child.id, index]))
  const order = (a: Line, b: Line) => byName.get(a.child.id)! - byName.get(b.child.id)!
  return { lines: lines.sort(order), barred: barred.sort(order) }
}

/** In the middle of what was seen; of two in the middle the lesser. */
function usual(tries: readonly Try[]): Outcome | null {
  const seen = tries.map((one) => FROM_LEAST.indexOf(one.outcome as Outcome)).sort((a, b) => a - b)
  const middle = seen[Math.ceil(seen.length / 2) - 1]
  return middle === undefined ? null : FROM_LEAST[middle]!
}

function asDone(tries: readonly Try[], role: Role, spot: Spot): { role: Role; spot: Spot } {
  const last = tries.at(-1)
  return last ? { role: last.role, spot: last.spot } : { role, spot }
}

/** Child -> what was tapped here; null: she is left out. */
export type Chosen = ReadonlyMap<string, Outcome | null>

/** What is shown for her, and written when it is said so. */
export function stands(line: Line, chosen: Chosen): Outcome | null {
  const tapped = chosen.get(line.child.id)
  if (tapped !== undefined) return tapped
  return line.said ? (line.said.outcome as Outcome) : line.suggested
}

/** Of whom nothing was said yet: a row each. */
export function entriesFor(skill: string, lines: readonly Line[], chosen: Chosen): Entry[] {
  return lines.flatMap((line) => {
    const outcome = stands(line, chosen)
    if (line.said || outcome === null) return []
    const { role, spot } = line
    return [{ student: line.child.id, skill, role, spot, outcome, weight: 'summary' as const }]
  })
}

/** What was said before and is said otherwise now. */
export function changesOf(
  lines: readonly Line[],
  chosen: Chosen,
): { said: Try; outcome: Outcome }[] {
  return lines.flatMap(({ said, child }) => {
    const outcome = chosen.get(child.id)
    return said && outcome && outcome !== said.outcome ? [{ said, outcome }] : []
  })
}
