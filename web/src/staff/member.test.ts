import { expect, test } from 'vitest'
import { changes } from '../desk/said'
import { fieldsOf, linkOf, saidOf, type Member, type Studio } from './member'
import { standing } from './standing'

const STUDIOS = ['a', 'b'].map((id) => ({ id, name: id.toUpperCase() })) as Studio[]
const MEMBER: Member = {
  id: '1',
  name: 'Nell Q.',
  role: 'teacher',
  adult: true,
  studios: ['b', 'a'],
  may_spot: ['low_lifts', 'bends'],
  from_date: null,
  until: '2026-05-01',
  revoked_at: null,
}

test('an untouched form changes nothing', () => {
  const before = saidOf(fieldsOf(MEMBER, STUDIOS))
  expect(changes(before, saidOf(fieldsOf(MEMBER, STUDIOS)))).toEqual({})
  expect(before.may_spot).toEqual(['bends', 'low_lifts'])
})

test('what does not go with the role is not sent', () => {
  const fields = fieldsOf(MEMBER, STUDIOS)
  expect(saidOf({ ...fields, role: 'head_teacher' })).not.toHaveProperty('studios')
  expect(saidOf({ ...fields, role: 'assistant', adult: false })).toMatchObject({
    adult: false,
    may_spot: [],
  })
  expect(saidOf({ ...fields, role: 'teacher', adult: false })).toMatchObject({ adult: true })
})

test.each([
  ['none', []],
  ['all', ['all']],
  ['some', ['bends', 'low_lifts']],
] as const)('who may spot %s', (spots, may_spot) => {
  expect(saidOf({ ...fieldsOf(MEMBER, STUDIOS), spots }).may_spot).toEqual(may_spot)
})

test('where there is one studio it is hers', () => {
  expect(fieldsOf(null, STUDIOS.slice(0, 1)).studios).toEqual(['a'])
  expect(fieldsOf(null, STUDIOS).studios).toEqual([])
})

test.each([
  [{}, 'holds'],
  [{ until: '2026-04-30' }, 'ended'],
  [{ until: null }, 'holds'],
  [{ from_date: '2026-05-02' }, 'later'],
  [{ until: '2026-04-30', revoked_at: '2026-04-01T10:00:00Z' }, 'revoked'],
] as const)('on the first of May %j: %s', (fields, said) => {
  expect(standing({ ...MEMBER, ...fields }, '2026-05-01')).toBe(said)
})

test('the secret stands where no server reads it', () => {
  expect(new URL(linkOf('https://x.example', 's-e_c')).hash).toBe('#s-e_c')
})
