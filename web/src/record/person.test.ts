import { expect, test } from 'vitest'
import { changes } from '../desk/said'
import { mayHaveMass, personFields, personSaid, type Student } from './person'

const STUDENT = {
  given_name: 'Ilse',
  initial: '',
  birth_year: 2016,
  birth_month: 3,
  guardian_note: 'fetched by her aunt',
} as Student

test('an untouched form changes nothing, also where the birth month is not known', () => {
  for (const student of [STUDENT, { ...STUDENT, birth_year: null, birth_month: null }]) {
    const before = personSaid(personFields(student))
    expect(before).toEqual(student)
    expect(changes(before, personSaid(personFields(student)))).toEqual({})
  }
})

test('another month alone is sent alone, and a note can be taken out', () => {
  const fields = personFields(STUDENT)
  const now = personSaid({ ...fields, birth_month: '4', guardian_note: ' ' })
  expect(changes(personSaid(fields), now)).toEqual({ birth_month: 4, guardian_note: '' })
})

test.each([
  [true, 11, true],
  [true, 10, false],
  [true, null, false],
  [false, 15, false],
])('where the school records masses (%s) and she is %s: %s', (uses_mass, age, may) => {
  expect(mayHaveMass({ uses_mass, mass_from_age: 11 }, { age })).toBe(may)
})
