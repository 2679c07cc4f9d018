import { expect, test } from 'vitest'
import { placeSaid } from './place'

test.each([
  ['', ''],
  ['/criterion', 'Clean when'],
  ['/roles/flyer/needs/all_of/1/skill', 'Roles, flyer, Needs, all of 2, Skill'],
  ['/families/tight', 'Families, tight'],
  ['/roles/constructor', 'Roles, constructor'],
])('%s is %j', (pointer, place) => {
  expect(placeSaid(pointer)).toBe(place)
})
