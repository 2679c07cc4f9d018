import { expect, test } from 'vitest'
import { card, child, evening, plank, proposed, tried } from '../lesson/sample'
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

function role(name: string, of = card(), given: Parameters<typeof evening>[0] = GROUPS) {
  return roleOf(evening(given), of, child(name))
}

test('her role is that of her last try, else that of her group', () => {
  expect(role('Bao')).toBe('flyer')
  expect(role('Demba')).toBe('spotter')
  expect(role('Bao', card(), { ...GROUPS, tries: [tried('Bao', { role: 'base' })] })).toBe('base')
})

test('in no group she is as the station has her, so that two taps are enough', () => {
  expect(role('Bao', plank)).toBe('solo')
  expect(role('Bao', card(), {})).toBe('base')
})

test('a fall is of her group where the server knows it', () => {
  expect(groupOf(evening(GROUPS), card(), 'Bao')).toBe('group 0')
  expect(groupOf(evening(), card(), 'Bao')).toBeNull()
})
