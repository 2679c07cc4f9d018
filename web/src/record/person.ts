/** What a teacher corrects of a child, as a form holds it and as the API takes it. */
import type { components } from '../api/schema'
import { figure, filled } from '../desk/said'

export type Student = components['schemas']['Student']

export interface PersonFields {
  given_name: string
  initial: string
  birth_month: string
  birth_year: string
  guardian_note: string
}

export function personFields(student: Student): PersonFields {
  const { given_name, initial, birth_month, birth_year, guardian_note } = student
  return {
    given_name,
    initial,
    birth_month: birth_month === null ? '' : String(birth_month),
    birth_year: birth_year === null ? '' : String(birth_year),
    guardian_note: guardian_note ?? '',
  }
}

export function personSaid(fields: PersonFields): Record<string, unknown> {
  const { birth_month, birth_year, given_name, initial, guardian_note } = fields
  return {
    given_name,
    initial: initial.trim(),
    birth_month: figure(birth_month),
    birth_year: figure(birth_year),
    guardian_note: filled(guardian_note) ?? '',
  }
}

/** Whether a mass may be recorded of her at all: the school does, and she is old enough. */
export function mayHaveMass(
  { uses_mass, mass_from_age }: Pick<components['schemas']['Policy'], 'uses_mass' | 'mass_from_age'>,
  { age }: Pick<Student, 'age'>,
): boolean {
  return uses_mass && age !== null && age >= mass_from_age
}
