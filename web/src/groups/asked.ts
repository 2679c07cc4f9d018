/** What the phone's own regrouping is asked: the evening as it is known here. */
import type { Card, PairTable, Tonight } from '../lesson/tonight'
import type { components } from '../api/schema'
import type { Found, Tonight as Asked } from '../regroup'
import { words } from '../words/words'

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
    table: withClosed(table, tonight.closed.get(card.skill_id)),
    card,
    here: inState('here'),
    notToday: inState('not_today'),
    names: new Map(tonight.children.map(({ id, name }) => [id, name])),
    adults: adultsFree(tonight, card, table, staff),
    room: roomOf(tonight),
    mats: lesson.mats === sheet.lesson.mats ? undefined : lesson.mats,
    assistant,
    says: saysOf(tonight, card.skill),
  }
}

/** Whoever fell in it since is stopped in every role. */
function withClosed(table: PairTable, fell: ReadonlySet<string> = new Set()): PairTable {
  if (fell.size === 0) return table
  const stopped = { state: 'stop' as const, says: [words.regroup.fell] }
  const roles = table.roles.map((role) => ({
    ...role,
    children: role.children.map((held, at) =>
      fell.has(table.children[at]!) ? { ...held, ...stopped } : held,
    ),
  }))
  return { ...table, roles }
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

/** Whether an adult may spot a card; null of one whom this phone does not know. */
export function maySpot(
  staff: readonly Member[],
  card: Card,
): (adult: { readonly id: string }) => boolean | null {
  const known = new Map(staff.map((one) => [one.id, one.may_spot]))
  return ({ id }) =>
    known.get(id)?.some((family) => family === 'all' || family === card.family_key) ?? null
}

/**
 * Adults free who may spot this, after what was entered here; undefined: as the table has it. One
 * whom the phone does not know counts where she goes, not where she comes.
 */
function adultsFree(
  { lesson, sheet }: Tonight,
  card: Card,
  table: PairTable,
  staff: readonly Member[],
): number | undefined {
  const gone = sheet.lesson.spotters.filter(notIn(lesson.spotters))
  const come = lesson.spotters.filter(notIn(sheet.lesson.spotters))
  if (gone.length === 0 && come.length === 0) return undefined
  const spots = maySpot(staff, card)
  const lost = gone.filter((one) => spots(one) !== false).length
  const won = come.filter((one) => spots(one)).length
  return Math.max(0, table.adults - lost + won)
}

/**
 * Adults in the room, after what was entered here. More children than on the sheet may need more
 * adults than it says: then it is known only where there are too few even so.
 */
function roomOf({ lesson, sheet, here }: Tonight): Asked['room'] {
  const { adults_in_room: there, adults_needed: needed } = lesson
  if (there === sheet.lesson.adults_in_room) return undefined
  const before = sheet.children.filter((one) => one.state !== 'away').length
  return here.length <= before || there < needed ? { there, needed } : undefined
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
