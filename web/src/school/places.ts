/** Studios, terms and closures, as forms hold them and as the API takes them. */
import type { components } from '../api/schema'
import { figure } from '../desk/said'

type Schemas = components['schemas']
export type Studio = Schemas['Studio']
export type Term = Schemas['Term']
export type Closure = Schemas['Closure']

export interface StudioFields {
  name: string
  zone: string
  units: Studio['units']
  mats: string
}

export function studioFields(studio: Studio | null, zone: string): StudioFields {
  if (!studio) return { name: '', zone, units: 'metric', mats: '4' }
  const { name, units, mats } = studio
  return { name, zone: studio.zone, units, mats: String(mats) }
}

export function studioSaid({ mats, ...rest }: StudioFields): Record<string, unknown> {
  return { ...rest, mats: figure(mats) }
}

export interface DayFields {
  name: string
  first: string
  last: string
  /** Empty: everywhere. A term has none. */
  studio: string
}

export function dayFields(days: Term | Closure | null): DayFields {
  const { name = '', first = '', last = '' } = days ?? {}
  return { name, first, last, studio: (days && 'studio' in days && days.studio) || '' }
}

/** A closure of one day needs no last one to be filled in. */
export function daySaid(
  { name, first, last, studio }: DayFields,
  ofClosure: boolean,
): Record<string, unknown> {
  const days = { name, first: first || null, last: last || (ofClosure && first) || null }
  return ofClosure ? { ...days, studio: studio || null } : days
}

/** Those that are still to come or on, and those that are over, the latest first. */
export function parted<T extends { last: string }>(rows: readonly T[], today: string): [T[], T[]] {
  const over = rows.filter((one) => one.last < today)
  return [rows.filter((one) => one.last >= today), over.reverse()]
}
