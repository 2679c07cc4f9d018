/** The school's policy as groups of fields, with the bounds that the contract names. */
import type { components } from '../api/schema'
import { figure } from '../desk/said'
import { atDesk } from '../words/at-desk'

export type Policy = components['schemas']['Policy']
export type Column = keyof Policy

export interface Group {
  readonly name: keyof typeof atDesk.school.groups
  readonly columns: readonly Column[]
}

export const GROUPS: readonly Group[] = [
  { name: 'ready', columns: ['bar', 'back_after_weeks'] },
  { name: 'room', columns: ['adults_in_room', 'children_per_adult', 'turns_under_one_spot'] },
  { name: 'pairs', columns: ['pair_check_days', 'height_days', 'flyer_taller_by_at_most_cm'] },
  { name: 'agreements', columns: ['agreements_kept_elsewhere'] },
  { name: 'masses', columns: ['uses_mass', 'mass_from_age', 'max_load_ratio'] },
]

export const BOUNDS: Partial<Record<Column, readonly [low: number, high: number]>> = {
  bar: [0.5, 0.99],
  adults_in_room: [1, 20],
  children_per_adult: [1, 30],
  turns_under_one_spot: [1, 12],
  back_after_weeks: [1, 52],
  pair_check_days: [1, 366],
  height_days: [1, 366],
  max_load_ratio: [0.1, 1.5],
  flyer_taller_by_at_most_cm: [-100, 100],
  mass_from_age: [11, 99],
}

/** What stands in the fields: a text for a number, whether it is ticked for a flag. */
export interface Fields {
  texts: Record<string, string>
  flags: Record<string, boolean>
}

export function fieldsOf(policy: Policy, columns: readonly Column[]): Fields {
  const fields: Fields = { texts: {}, flags: {} }
  for (const column of columns) {
    const value = policy[column]
    if (typeof value === 'boolean') fields.flags[column] = value
    else fields.texts[column] = String(value)
  }
  return fields
}

export function saidOf({ texts, flags }: Fields): Record<string, unknown> {
  const figures = Object.entries(texts).map(([column, text]) => [column, figure(text)])
  return { ...Object.fromEntries(figures), ...flags }
}
