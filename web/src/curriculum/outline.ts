/** What a draft says beside its cards, as its form holds it. */
import type { components } from '../api/schema'

export type Outline = components['schemas']['Outline']
export type Step = Outline['successions'][number]

/** With the item one place further up, or down by -1; at an end nothing changes. */
export function shifted<T>(list: readonly T[], index: number, up = 1): T[] {
  const to = index - up
  const now = [...list]
  if (to < 0 || to >= list.length) return now
  now.splice(to, 0, ...now.splice(index, 1))
  return now
}

/**
 * Of two outlines that began as `read` mine, over the cards that stand by now: in my order, new ones
 * at the end. What carries on what comes and goes with cards, so both have their changes of it.
 */
export function onto(mine: Outline, stands: Outline, read: Outline): Outline {
  const kept = mine.skills.filter((key) => stands.skills.includes(key))
  const further = stands.skills.filter((key) => !kept.includes(key))
  const without = (steps: readonly Step[], others: readonly Step[]) =>
    steps.filter((step) => !others.some((other) => sameStep(step, other)))
  const gone = without(read.successions, mine.successions)
  const added = without(mine.successions, read.successions)
  const successions = without(stands.successions, gone)
  return {
    ...mine,
    skills: [...kept, ...further],
    successions: [...successions, ...without(added, successions)],
  }
}

export function sameStep(one: Step | undefined, other: Step | undefined): boolean {
  return one?.from_key === other?.from_key && one?.to_key === other?.to_key
}
