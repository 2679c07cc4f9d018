import { expect, test } from 'vitest'
import { card, evening, plank, proposed, tried } from '../mat/sample'
import { groupOf, lastSkill, roleOf, skillsTonight } from './fallen'

const GROUPS = { proposed: proposed({ base: ['Amara'], flyer: ['Bao'], spotter: ['Demba'] }) }

test('the skill is the one tried last tonight', () => {
  expect(lastSkill(evening())).toBeNull()
  const tries = [tried('Amara'), tried('Bao', { skill_id: 'plank-id' })]
  expect(lastSkill(evening({ tries }))).toBe('plank')
})

test('to choose from are tonight’s stations, the latest first, then what has groups', () => {
  const tries = [tried('Bao', { skill_id: 'plank-id' })]
  const found = skillsTonight(evening({ ...GROUPS, tries }))
  expect(found.map((one) => one.skill)).toEqual(['plank', 'seat'])
})

test('her role is that of her last try, else the card’s only one, else that of her group', () => {
  expect(roleOf(evening(GROUPS), card(), 'Bao')).toBe('flyer')
  expect(roleOf(evening(GROUPS), card(), 'Demba')).toBe('spotter')
  expect(roleOf(evening({ ...GROUPS, tries: [tried('Bao', { role: 'base' })] }), card(), 'Bao')).toBe('base')
  expect(roleOf(evening(), plank, 'Bao')).toBe('solo')
})

test('where nothing says her role a person does', () => {
  expect(roleOf(evening(), card(), 'Bao')).toBeNull()
})

test('a fall is of her group where the server knows it', () => {
  expect(groupOf(evening(GROUPS), card(), 'Bao')).toBe('group 0')
  expect(groupOf(evening(), card(), 'Bao')).toBeNull()
})
