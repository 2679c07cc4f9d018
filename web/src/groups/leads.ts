/** What holds for every group of a hold, as it is said before the first go. */
import type { Card } from '../lesson/tonight'
import type { Found } from '../regroup'
import { words } from '../words/words'
import type { GroupShown } from './view'

export interface Leads {
  /** Above the groups: what is agreed, and what to look at. */
  readonly first: readonly string[]
  /** Below them: how it is spotted and done. */
  readonly then: readonly string[]
  /** Ways in and out that all groups have, said once. */
  readonly ways: { readonly in: string | null; readonly out: string | null }
  /** What is said of every group alike, said once. */
  readonly says: readonly string[]
}

const said = words.groups

export function leadsOf(card: Card, groups: readonly GroupShown[]): Leads {
  const ways = {
    in: common(groups.map((one) => one.ways_in)),
    out: common(groups.map((one) => one.ways_out)),
  }
  return {
    ways,
    says: saidOfAll(groups),
    first: lines(card.caution && said.sentence(card.caution), agreedBefore(card)),
    then: lines(
      card.spot && said.spot(card.spot.stands),
      card.lifted && said.oneUp,
      ways.in && said.waysIn(ways.in),
      ways.out && said.waysOut(ways.out),
      said.cleanWhen(card.criterion),
    ),
  }
}

/** Whether it is among what is said once. */
export function ofAll({ says }: Leads, { sentence }: Found): boolean {
  return says.includes(sentence)
}

function saidOfAll(groups: readonly GroupShown[]): string[] {
  const [first, ...others] = groups
  if (!first || others.length === 0) return []
  const all = first.says.map((say) => say.sentence)
  return all.filter((say) => others.every(({ says }) => says.some((one) => one.sentence === say)))
}

function agreedBefore({ agreed_before }: Card): string | null {
  if (!agreed_before) return null
  const { count, first, steps, way_out } = agreed_before
  const parts = [
    count,
    first,
    steps === null ? null : said.steps(steps),
    way_out && said.agreedWayOut(way_out),
  ]
  return said.agreed(parts.filter((part) => part !== null))
}

function common(all: readonly string[]): string | null {
  const [first] = all
  return first && all.every((one) => one === first) ? first : null
}

function lines(...all: (string | false | null)[]): string[] {
  return all.filter((line) => typeof line === 'string' && line !== '') as string[]
}
