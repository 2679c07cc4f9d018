/** Weekly classes and the children in them, as forms hold them and as the API takes them. */
import type { components } from '../api/schema'
import { cmOf, type Units } from '../desk/length'
import { figure, filled, given } from '../desk/said'

type Schemas = components['schemas']
export type Klass = Schemas['Class']
export type Studio = Schemas['Studio']
export type Weekday = Klass['weekday']

export const WEEKDAYS: readonly Weekday[] = [
  'Monday',
  'Tuesday',
  'Wednesday',
  'Thursday',
  'Friday',
  'Saturday',
  'Sunday',
]

export interface KlassFields {
  name: string
  studio: string
  weekday: Weekday
  starts: string
  minutes: string
}

export function klassFields(klass: Klass | null, studios: readonly Studio[]): KlassFields {
  if (!klass) {
    return { name: '', studio: studios[0]?.id ?? '', weekday: 'Monday', starts: '', minutes: '45' }
  }
  const { name, studio, weekday, starts, minutes } = klass
  return { name, studio, weekday, starts, minutes: String(minutes) }
}

export function klassSaid({ minutes, starts, ...rest }: KlassFields): Record<string, unknown> {
  return { ...rest, starts: starts || null, minutes: figure(minutes) }
}

/** Whether its last day is past. */
export function isOver({ until }: Klass, today: string): boolean {
  return until !== null && until < today
}

/** Classes by studio, each in the order of the week. */
export function weekly(
  classes: readonly Klass[],
  studios: readonly Studio[],
): { studio: Studio; classes: Klass[] }[] {
  const when = ({ weekday, starts }: Klass) => `${WEEKDAYS.indexOf(weekday)} ${starts}`
  return studios
    .map((studio) => ({
      studio,
      classes: classes
        .filter((one) => one.studio === studio.id)
        .sort((one, other) => when(one).localeCompare(when(other))),
    }))
    .filter((one) => one.classes.length)
}

export interface ChildFields {
  given_name: string
  initial: string
  birth_month: string
  birth_year: string
  from: string
  trial: boolean
  height: string
  guardian_note: string
}

export function childFields(today: string): ChildFields {
  return {
    given_name: '',
    initial: '',
    birth_month: '',
    birth_year: '',
    from: today,
    trial: false,
    height: '',
    guardian_note: '',
  }
}

export function childSaid(fields: ChildFields, klass: string, units: Units): object {
  const { given_name, initial, birth_month, birth_year, from, trial, height, guardian_note } = fields
  return {
    given_name,
    class: klass,
    trial,
    ...given({
      initial: filled(initial),
      birth_month: figure(birth_month),
      birth_year: figure(birth_year),
      from: filled(from),
      height_cm: cmOf(height, units),
      guardian_note: filled(guardian_note),
    }),
  }
}
