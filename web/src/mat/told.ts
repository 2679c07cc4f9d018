/** Who tried and how it went, as it is said. */
import type { Card, Try } from '../lesson/tonight'
import { words } from '../words/words'
import { isHeld } from './measure'
import type { Said } from './tap'
import { rolesOf, type Seat } from './units'

/** “Amara (base) and Bao (flyer)”; without roles where the card has only one. */
export function who(card: Card, seats: readonly Seat[]): string {
  const several = rolesOf(card).length > 1
  return words.mat.names(
    seats.map(({ child, role }) =>
      several ? words.mat.inRole(child.name, words.shell.role[role]) : child.name,
    ),
  )
}

export function told(card: Card, seats: readonly Seat[], { outcome, measure }: Said): string {
  return words.mat.tried(who(card, seats), words.shell.outcome[outcome], measured(card, measure))
}

/** “12.3 s”, or nothing. */
export function measured(card: Card, measure: number | null | undefined): string {
  if (measure === null || measure === undefined || !card.measure) return ''
  return words.mat.measured(measure, card.measure.unit)
}

/** What is done to measure a try of this. */
export function measuring(card: Card): string {
  return isHeld(card) ? words.mat.time : words.mat.number
}

/** A try in a list: how it went, and with which help. */
export function howItWent(card: Card, one: Try): string {
  return [
    outcomeWord(one),
    measured(card, one.measure),
    card.spotted ? words.shell.spot[one.spot] : '',
    one.weight === 'summary' ? words.mat.summarised : '',
  ]
    .filter(Boolean)
    .join(', ')
}

/** Of a try that counts: what was removed is in no list. */
export function outcomeWord(one: Try): string {
  return one.outcome === 'removed' ? '' : words.shell.outcome[one.outcome]
}
