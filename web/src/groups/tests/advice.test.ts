import { expect, test } from 'vitest'
import { lesson } from '../../lesson/sample'
import { spotOf, spottersOf, waysOf } from '../advice'
import { AROUND, card, child, evening, line, NAMES, SEAT, table } from './evening'

function of(more: Record<string, object>) {
  return evening({ sheet: { children: NAMES.map((name) => child(name, more[name])) } })
}
const steady = {
  skills: [line('flyer', { spot: 'none' }), line('base', { skill: 'other' })],
}

test('the spot is that of the flyer, hands on for two who are new to each other', () => {
  const found = of({ Bao: steady, Demba: steady })
  expect(spotOf(found, SEAT, table(), { base: ['Amara'], flyer: ['Bao'] })).toBe('none')
  expect(spotOf(found, SEAT, table(), { base: ['Amara'], flyer: ['Demba'] })).toBe('hands_on')
  expect(spotOf(found, SEAT, null, { base: ['Amara'], flyer: ['Bao'] })).toBe('hands_on')
})

test('with no flyer it is the strictest of all', () => {
  const near = { skills: [line('partner', { spot: 'hands_near' }), line('base')] }
  const none = { skills: [line('partner', { spot: 'none' }), line('base')] }
  const found = of({ Amara: near, Bao: none })
  expect(spotOf(found, SEAT, table(), { partner: ['Amara', 'Bao'] })).toBe('hands_near')
})

test('hands stay near her of whom nothing says hands on, and a child on trial', () => {
  const kept = { skills: [line('flyer', { spot: 'hands_near' })] }
  const found = of({ Demba: kept, Esme: { skills: [] } })
  expect(spotOf(found, SEAT, table(), { base: ['Amara'], flyer: ['Demba'] })).toBe('hands_near')
  expect(spotOf(found, SEAT, table(), { base: ['Amara'], flyer: ['Esme'] })).toBe('hands_near')
})

test('nobody spots what is never spotted, nor a group of nobody', () => {
  const seats = { base: ['Amara'], flyer: ['Bao'] }
  expect(spotOf(of({}), card('seat', { spotted: false }), table(), seats)).toBe(null)
  expect(spotOf(of({}), SEAT, table(), {})).toBe(null)
})

test('a way is there where nobody in the group misses anything', () => {
  const found = of({ Bao: { skills: [line('flyer', { without: ['hop'] }), line('base')] } })
  const ways = (seats: Record<string, string[]>) => waysOf(found, SEAT, 'ways_in', seats)
  expect(ways({ base: ['Amara'], flyer: ['Bao'] })).toEqual(['sit and lift'])
  expect(ways({ base: ['Bao'], flyer: ['Amara'] })).toEqual(['sit and lift', 'hop up'])
})

function named(free: string[], groups: number, more: Parameters<typeof table>[0] = {}) {
  const found = evening({ sheet: { lesson: lesson(free) } })
  return spottersOf(found, SEAT, { ...AROUND, table: table(more) }, groups)
}

test('adults take the groups in turn, by name', () => {
  expect(named(['Noa', 'Maya'], 3)).toEqual([['Maya'], ['Noa'], ['Maya']])
  expect(named(['Noa', 'Maya'], 1, { adults_a_group: 2 })).toEqual([['Maya', 'Noa']])
  expect(named(['Noa', 'Maya'], 1, { adults_a_group: 0 })).toEqual([[]])
})

test('only those are named who may spot this, and nobody where that is not known of one', () => {
  expect(named(['Noa', 'Pia'], 2)).toEqual([['Noa'], ['Noa']])
  expect(named(['Pia'], 1)).toEqual([[]])
  expect(named(['Noa', 'Zola'], 2)).toEqual([[], []])
})
