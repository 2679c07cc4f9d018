/** One child's evening: what she did, what comes next, what she may practise at home. */
import { rolesOf } from '../mat/units'
import type { Card, Child, Role, Tonight, Try } from '../lesson/tonight'

/** Her tries of one skill in one role. */
export interface Done {
  readonly card: Card
  /** Null where the card has one role: then it need not be said. */
  readonly role: Role | null
  /** Oldest first; never empty. */
  readonly tries: readonly Try[]
}

interface Named {
  readonly card: Card
  readonly role: Role | null
}
export type Next =
  | (Named & { readonly kind: 'goes_on' })
  | (Named & { readonly kind: 'begins' })
  | (Named & { readonly kind: 'on_the_way'; readonly says: string })

// A short list is one that is remembered.
const MOST_NEXT = 3
const MOST_OF_A_KIND = 2
const MOST_AT_HOME = 3

/** In the order in which she began them. */
export function doneBy(now: Tonight, student: string): Done[] {
  const cards = new Map([...now.cards.values()].map((card) => [card.skill_id, card]))
  const found = new Map<string, Done & { tries: Try[] }>()
  for (const one of now.tries) {
    const card = cards.get(one.skill_id)
    if (one.student !== student || !card) continue
    const key = `${one.skill_id} ${one.role}`
    const done = found.get(key) ?? { card, role: roleToSay(card, one.role), tries: [] }
    done.tries.push(one)
    found.set(key, done)
  }
  return [...found.values()]
}

export function roleToSay(card: Card, role: Role): Role | null {
  return rolesOf(card).length > 1 ? role : null
}

/**
 * What she has begun and goes on with, then what suits her soon; where there is neither, the first
 * skill for which something is missing. No lift is named that she has not been in tonight: whether
 * she goes up is a teacher's to say, and nothing is promised at the door.
 */
export function nextFor(now: Tonight, child: Child): Next[] {
  const done = doneBy(now, child.id)
  const closed = closedTo(now, child)
  const goesOn = done
    .filter((one) => !isSettled(one) && !closed.has(one.card))
    .map(({ card, role }) => ({ kind: 'goes_on' as const, card, role }))
  const tried = new Set(done.map((one) => one.card.skill))
  const { groups, alone } = now.sheet.suggestions
  const begins = [...groups, ...alone]
    .filter((one) => one.moves_on.includes(child.id) && !tried.has(one.skill))
    .flatMap((one) => now.cards.get(one.skill) ?? [])
    .filter((card) => !card.lifted && !closed.has(card) && openTo(child, card))
    .map((card) => ({ kind: 'begins' as const, card, role: null }))
  const next = [...goesOn.slice(0, MOST_OF_A_KIND), ...begins.slice(0, MOST_OF_A_KIND)]
  return next.length > 0 ? next.slice(0, MOST_NEXT) : onTheWay(now, child, closed)
}

/** Since she fell or nearly fell in it tonight: a teacher looks first. */
function closedTo(now: Tonight, child: Child): Set<Card> {
  const cards = [...now.cards.values()]
  return new Set(cards.filter((card) => now.closed.get(card.skill_id)?.has(child.id)))
}

/** Clean at last, and with no hands where an adult spots it. */
function isSettled({ card, tries }: Done): boolean {
  const last = tries.at(-1)!
  return last.outcome === 'clean' && (!card.spotted || last.spot === 'none')
}

function openTo(child: Child, card: Card): boolean {
  return child.skills.some((one) => one.skill === card.skill && one.ready && !one.stopped)
}

function onTheWay(now: Tonight, child: Child, closed: ReadonlySet<Card>): Next[] {
  for (const line of child.skills) {
    const card = now.cards.get(line.skill)
    if (!card || card.lifted || closed.has(card) || line.ready || line.stopped) {
      continue
    }
    return [{ kind: 'on_the_way', card, role: roleToSay(card, line.role), says: line.says }]
  }
  return []
}

/**
 * Alone, on the floor, spotted by nobody, and where the card says how: what she has by the log or
 * was clean in tonight. Tonight's come first.
 */
export function atHome(now: Tonight, child: Child): Card[] {
  if (child.state === 'not_today') return []
  const known = now.sheet.children.find((one) => one.id === child.id)?.at_home ?? []
  const byLog = known.flatMap((skill) => now.cards.get(skill) ?? [])
  const done = doneBy(now, child.id)
  const tonight = done
    .filter(({ card, tries }) => byLog.includes(card) || tries.at(-1)!.outcome === 'clean')
    .map((one) => one.card)
  const stopped = new Set(child.skills.filter((one) => one.stopped).map((one) => one.skill))
  const closed = closedTo(now, child)
  return [...new Set([...tonight, ...byLog])]
    .filter((card) => card.at_home !== null && card.alone && !card.lifted && !card.spotted)
    .filter((card) => !stopped.has(card.skill) && !closed.has(card))
    .slice(0, MOST_AT_HOME)
}

export interface Line {
  readonly card: Card
  readonly role: Role | null
  readonly says: string
}

/** All that is known of where she stands, as the curriculum orders it. */
export function byFamily(now: Tonight, child: Child): { family: string; lines: Line[] }[] {
  const found = new Map<string, Line[]>()
  for (const { skill, role, says } of child.skills) {
    const card = now.cards.get(skill)
    if (!card) continue
    const lines = found.get(card.family) ?? []
    lines.push({ card, role: roleToSay(card, role), says })
    found.set(card.family, lines)
  }
  return [...found].map(([family, lines]) => ({ family, lines }))
}
