/** Which days, and in which class, a path is asked for. */
import type { components } from '../api/schema'
import type { Days } from './picture'
import { daysSaid } from './told'

type Schemas = components['schemas']

interface Option {
  readonly value: string
  readonly text: string
}

/** What follows the address; what is not chosen the server chooses. */
export function asked(days: Days | null, klass: string): string {
  const said = new URLSearchParams({
    ...(days && { first: days.first, last: days.last }),
    ...(klass && { class: klass }),
  }).toString()
  return said && `?${said}`
}

/** The terms that have begun, and which of them is shown; the days themselves if it is none. */
export function termsOf(
  terms: readonly Schemas['Term'][],
  shown: Days | null,
  today: string,
): { options: Option[]; value: string } {
  const begun = terms.filter((one) => one.first <= today)
  const options = begun.map(({ id, name }) => ({ value: id, text: name }))
  const found = begun.find((one) => one.first === shown?.first && one.last === shown.last)
  if (found) return { options, value: found.id }
  return { options: [{ value: '', text: shown ? daysSaid(shown) : '' }, ...options], value: '' }
}

/** Each class that she has or had a place in, once. */
export function classesOf(places: readonly Schemas['StudentPlace'][]): Option[] {
  const names = new Map(places.map((one) => [one.class, one.class_name]))
  return [...names].map(([value, text]) => ({ value, text }))
}
