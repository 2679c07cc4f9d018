/** What the phone's own regrouping is asked: the evening as it is known here. */
import type { Card, PairTable, Tonight } from '../lesson/tonight'
import type { components } from '../api/schema'
import type { Found, Tonight as Asked } from '../regroup'

type Member = components['schemas']['Member']

export interface Around {
  /** Null: the phone has none, and cannot say what stops or asks. */
  readonly table: PairTable | null
  readonly assistant: boolean
  readonly staff: readonly Member[]
}

export function tableIn(tonight: Tonight, skill: string): PairTable | null {
  return tonight.sheet.pair_tables.find((one) => one.skill === skill) ?? null
}

/** Null without a table. */
export function askedOf(tonight: Tonight, card: Card, around: Around): Asked | null {
  const { table, assistant, staff } = around
  if (!table) return null
  const inState = (state: string) =>
    tonight.children.filter((one) => one.state === state).map((one) => one.id)
  const { lesson, sheet } = tonight
  return {
    table,
    card,
    here: inState('here'),
    notToday: inState('not_today'),
    names: new Map(tonight.children.map(({ id, name }) => [id, name])),
    adults: adultsFree(tonight, table, staff),
    mats: lesson.mats === sheet.lesson.mats ? undefined : lesson.mats,
    assistant,
    says: saysOf(tonight, card.skill),
  }
}

/** Whether the evening is as the server knew it when it wrote the sheet. */
export function asOnTheSheet({ children, lesson, sheet }: Tonight): boolean {
  const before = new Map(sheet.children.map((one) => [one.id, one.state]))
  return (
    children.every((one) => before.get(one.id) === one.state) &&
    lesson.mats === sheet.lesson.mats &&
    lesson.surface === sheet.lesson.surface &&
    !lesson.spotters.some(notIn(sheet.lesson.spotters)) &&
    !sheet.lesson.spotters.some(notIn(lesson.spotters))
  )
}

/**
 * Adults free who may spot this, after what was entered here; undefined: as the table has it. One
 * of whom the phone does not know whether she may spot this counts where she goes, not where she
 * comes.
 */
function adultsFree(
  { lesson, sheet }: Tonight,
  table: PairTable,
  staff: readonly Member[],
): number | undefined {
  const gone = sheet.lesson.spotters.filter(notIn(lesson.spotters))
  const come = lesson.spotters.filter(notIn(sheet.lesson.spotters))
  if (gone.length === 0 && come.length === 0) return undefined
  const spots = ({ id }: { id: string }) => {
    const one = staff.find((member) => member.id === id)
    if (one?.may_spot.includes('all')) return true
    // A card has its family's name, a member the family's key.
    return one?.may_spot.length === 0 ? false : null
  }
  const lost = gone.filter((one) => spots(one) !== false).length
  const won = come.filter((one) => spots(one) === true).length
  return Math.max(0, table.adults - lost + won)
}

function notIn(others: readonly { id: string }[]) {
  return ({ id }: { id: string }) => !others.some((one) => one.id === id)
}

/** Each once: what the server says of every group is said of whichever group it holds for. */
function saysOf({ sheet }: Tonight, skill: string): Found[] {
  const all = [...sheet.kept, ...sheet.proposed]
    .filter((one) => one.skill === skill)
    .flatMap((one) => one.groups.flatMap((group) => group.says))
  return [...new Map(all.map((say) => [JSON.stringify(say), say])).values()]
}
