/** What a teacher looks through before the hall is locked. */
import type { Card, Child, Tonight } from '../lesson/tonight'

export interface BeforeYouGo {
  /** Of whom nobody has said whether she is here. */
  readonly notEntered: readonly Child[]
  /** Who could have been up tonight and was not; alphabetical. */
  readonly notUp: readonly Child[]
  readonly anybodyUp: boolean
  /** Here, and not one try; alphabetical. */
  readonly noEntry: readonly Child[]
  readonly anyEntry: boolean
  /** Written on this phone tonight, in the order in which they were. */
  readonly falls: readonly Fallen[]
}

export interface Fallen {
  readonly id: string
  readonly name: string | null
  readonly skill: string
  readonly kind: 'fall' | 'near_miss'
  readonly phase: 'way_in' | 'hold' | 'way_out' | 'between'
}

export function beforeYouGo(now: Tonight): BeforeYouGo {
  const cards = new Map([...now.cards.values()].map((card) => [card.skill_id, card]))
  const names = new Map(now.children.map((child) => [child.id, child.name]))
  const tried = new Set(now.tries.map((one) => one.student))
  const up = new Set(
    now.tries.filter((one) => isUp(one.role, cards.get(one.skill_id))).map((one) => one.student),
  )
  const playing = now.here.filter((child) => child.state === 'here')
  return {
    notEntered: now.children.filter((child) => child.revision === null),
    notUp: playing.filter((child) => !up.has(child.id)),
    anybodyUp: playing.some((child) => up.has(child.id)),
    noEntry: playing.filter((child) => !tried.has(child.id)),
    anyEntry: playing.some((child) => tried.has(child.id)),
    falls: now.falls.map(({ id, body }) => ({
      id,
      name: names.get(body.student) ?? null,
      skill: cards.get(body.skill_id)?.name ?? '',
      kind: body.kind,
      phase: body.phase,
    })),
  }
}

/** As flyer, or as one of two equal partners; a habit such as the stop word lifts nobody. */
function isUp(role: string, card: Card | undefined): boolean {
  return card !== undefined && !card.habit && (role === 'flyer' || role === 'partner')
}
