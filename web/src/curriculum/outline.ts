/** What a draft says beside its cards, as its form holds it. */
import type { components } from '../api/schema'

export type Outline = components['schemas']['Outline']

/** With the item one place further up, or down by -1; at an end nothing changes. */
export function shifted<T>(list: readonly T[], index: number, up = 1): T[] {
  const to = index - up
  const now = [...list]
  if (to < 0 || to >= list.length) return now
  now.splice(to, 0, ...now.splice(index, 1))
  return now
}

/** Of two outlines mine, with the cards that stand by now: in my order, new ones at the end. */
export function onto(mine: Outline, stands: Outline): Outline {
  const kept = mine.skills.filter((key) => stands.skills.includes(key))
  const further = stands.skills.filter((key) => !kept.includes(key))
  return { ...mine, skills: [...kept, ...further], successions: stands.successions }
}
