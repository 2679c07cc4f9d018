/** A child's place in a class, and what a teacher does with it, as the API takes it. */
import type { Method } from '../api/client'
import type { components } from '../api/schema'
import { filled } from '../desk/said'
import { daysAfter, longDate } from '../parts/when'
import { atDesk } from '../words/at-desk'

export type Place = components['schemas']['StudentPlace']
/** `stay`: her trial becomes a place. */
export type Act = 'leave' | 'move' | 'stay'

export interface PlaceFields {
  act: Act
  /** The last day, where she leaves. */
  until: string
  /** The first day, where she moves or stays. */
  from: string
  /** Where she moves to. */
  klass: string
}

export interface Step {
  readonly method: Method
  readonly path: string
  readonly body: object
}

export function actsOf(place: Place): Act[] {
  return place.trial ? ['stay', 'leave', 'move'] : ['leave', 'move']
}

/** What is asked for in turn. Each may be asked for again: what stands already stays. */
export function stepsOf(place: Place, fields: PlaceFields): Step[] {
  const own = `places/${place.id}`
  const from = filled(fields.from)
  if (fields.act === 'leave') {
    return [{ method: 'PATCH', path: own, body: { until: filled(fields.until) } }]
  }
  const klass = fields.act === 'move' ? fields.klass : place.class
  const trial = fields.act === 'move' && place.trial
  const begin: Step = { method: 'POST', path: 'places', body: { class: klass, from, trial } }
  const ends = from !== null && (place.until === null || place.until >= from)
  if (fields.act === 'stay' || !ends) return [begin]
  // The new place first: where that is refused she has still the one that she had.
  return [begin, { method: 'PATCH', path: own, body: { until: daysAfter(from, -1) } }]
}

/** What is wrong before anything is asked for, in words; the server says the rest. */
export function faultOf(place: Place, { act, from, until }: PlaceFields): string | null {
  const said = atDesk.record
  if (act === 'leave') return until || place.until ? null : said.lastDayMissing
  return act === 'move' && from && from <= place.from ? said.firstNotLater : null
}

/** Places that hold or are to come, and those that are over. */
export function standing(places: readonly Place[], today: string): [Place[], Place[]] {
  const over = (place: Place) => place.until !== null && place.until < today
  return [places.filter((one) => !over(one)), places.filter(over)]
}

export function placeSaid({ class_name, from, until, trial }: Place): string {
  const said = atDesk.record
  const days = until ? said.days(longDate(from), longDate(until)) : said.open(longDate(from))
  return said.place(class_name, days, trial)
}
