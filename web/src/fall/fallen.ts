/** What is known of a fall before anybody is asked: in which skill, as what, in which group. */
import { groupsOf, studentsIn } from '../groups/seats'
import type { Card, Child, Role, Tonight } from '../lesson/tonight'
import { roleAlone } from '../mat/units'

/** The skill that was tried last tonight. */
export function lastSkill(now: Tonight): string | null {
  const last = now.tries.at(-1)
  const card = [...now.cards.values()].find((one) => one.skill_id === last?.skill_id)
  return card?.skill ?? null
}

/** What may have gone on: tonight's stations, the latest first, then what has groups. */
export function skillsTonight(now: Tonight): Card[] {
  const cards = [...now.cards.values()]
  const tried = now.tries
    .toReversed()
    .flatMap((one) => cards.filter((card) => card.skill_id === one.skill_id))
  const grouped = cards.filter((card) => groupsOf(now, card.skill).length > 0)
  return [...new Set([...tried, ...grouped])]
}

/** As what she did it last tonight, else as what she is in a group, else as a station has her. */
export function roleOf(now: Tonight, card: Card, child: Child): Role {
  const tried = now.tries.some(
    (one) => one.student === child.id && one.skill_id === card.skill_id,
  )
  const group = groupWith(now, card, child.id)
  const seat = card.roles.find(({ role }) => group?.seats[role]?.includes(child.id))
  return seat && !tried ? seat.role : roleAlone(now, card, child)
}

/** The server's id of her group. */
export function groupOf(now: Tonight, card: Card, student: string): string | null {
  return groupWith(now, card, student)?.id ?? null
}

function groupWith(now: Tonight, card: Card, student: string) {
  return groupsOf(now, card.skill).find((one) => studentsIn(one.seats).includes(student)) ?? null
}
