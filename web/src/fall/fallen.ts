/** What is known of a fall before anybody is asked: in which skill, as what, in which group. */
import { groupsOf, studentsIn } from '../groups/seats'
import type { Card, Role, Tonight } from '../lesson/tonight'

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

/** As what she did it last tonight, else as what she is in a group; null: a person has to say. */
export function roleOf(now: Tonight, card: Card, student: string): Role | null {
  const last = now.tries.findLast(
    (one) => one.student === student && one.skill_id === card.skill_id,
  )
  if (last) return last.role
  const [first, ...others] = card.roles
  if (first && others.length === 0) return first.role
  const group = groupWith(now, card, student)
  const seat = card.roles.find(({ role }) => group?.seats[role]?.includes(student))
  return seat?.role ?? null
}

/** The server's id of her group. */
export function groupOf(now: Tonight, card: Card, student: string): string | null {
  return groupWith(now, card, student)?.id ?? null
}

function groupWith(now: Tonight, card: Card, student: string) {
  return groupsOf(now, card.skill).find((one) => studentsIn(one.seats).includes(student)) ?? null
}
