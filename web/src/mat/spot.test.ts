import { expect, test } from 'vitest'
import { card, child, evening, line, plank } from '../lesson/sample'
import { commonSpot, spotToBegin } from './spot'

function begins(spot: string | null, other: object = {}) {
  const amara = child('Amara', {
    skills: [line('seat', 'base', { spot }), line('other', 'base', { spot: 'hands_on' })],
    ...other,
  })
  return spotToBegin(evening({ children: [amara] }), card(), [{ child: amara, role: 'base' }])
}

test.each([
  ['hands_on', 'hands_on'],
  ['hands_near', 'hands_near'],
  ['none', 'hands_near'],
])('advised is %s: a station begins with %s', (advised, spot) => {
  expect(begins(advised)).toBe(spot)
})

test('of a skill that nothing is known of it begins with hands on, where hands may touch', () => {
  expect(begins(null)).toBe('hands_on')
  expect(begins(null, { skills: [] })).toBe('hands_near')
})

test('what is never spotted has no spot, whatever is advised', () => {
  const amara = child('Amara', { skills: [line('plank', 'solo', { spot: 'hands_on' })] })
  const now = evening({ children: [amara] })
  expect(spotToBegin(now, plank, [{ child: amara, role: 'solo' }])).toBe('none')
})

test('a group begins with the most careful of its flyers, and with hands on when it is new', () => {
  const lines = (role: string, spot: string) => [line('seat', role, { spot }), line('x', 'solo')]
  const amara = child('Amara', { skills: lines('base', 'none') })
  const bao = child('Bao', { skills: lines('flyer', 'none') })
  const seats = [
    { child: amara, role: 'base' as const },
    { child: bao, role: 'flyer' as const },
  ]
  const now = evening({ children: [amara, bao] })
  expect(spotToBegin(now, card(), seats)).toBe('hands_on')
  const table = { skill: 'seat', children: ['Amara', 'Bao'], past_pairs: [[0, 1, 2]] }
  const known = evening({ children: [amara, bao], pair_tables: [table] })
  expect(spotToBegin(known, card(), seats)).toBe('hands_near')
})

test('one spot stands in the head where all rows have it', () => {
  expect(commonSpot(['hands_on', 'hands_on'])).toBe('hands_on')
  expect(commonSpot(['hands_on', 'hands_near'])).toBeNull()
  expect(commonSpot([])).toBeNull()
})
