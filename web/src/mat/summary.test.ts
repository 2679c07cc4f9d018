import { expect, test } from 'vitest'
import { card, child, evening, plank, proposed, tried } from '../lesson/sample'
import { changesOf, entriesFor, linesOf, stands } from './summary'
import type { Outcome } from '../lesson/tonight'

function suggested(...outcomes: Outcome[]) {
  const tries = outcomes.map((outcome, at) => tried('Amara', { attempt: `${at}`, outcome }))
  return linesOf(evening({ tries }), card()).lines[0]!.suggested
}

test('what is in the middle of tonight’s tries is suggested, of two the lesser', () => {
  expect(suggested()).toBeNull()
  expect(suggested('clean')).toBe('clean')
  expect(suggested('not_there', 'clean')).toBe('not_there')
  expect(suggested('clean', 'not_there', 'clean')).toBe('clean')
  expect(suggested('clean', 'clean', 'shaky', 'not_there')).toBe('shaky')
})

test('one line for each child by name, in her role and with the spot she had last', () => {
  const now = evening({
    proposed: proposed({ base: ['Demba'], flyer: ['Bao'] }),
    tries: [tried('Bao', { role: 'flyer', spot: 'hands_near' })],
  })
  const lines = linesOf(now, card()).lines.map(({ child, role, spot }) => [child.name, role, spot])
  expect(lines).toEqual([
    ['Amara', 'base', 'hands_near'],
    ['Bao', 'flyer', 'hands_near'],
    ['Demba', 'base', 'hands_near'],
  ])
})

test('who rests from it has no line, unless she has tried', () => {
  const children = [child('Amara', { state: 'not_today' }), child('Bao')]
  const names = (tries: ReturnType<typeof tried>[]) => {
    const { lines, barred } = linesOf(evening({ children, tries }), card())
    return [lines.map((one) => one.child.name), barred.map((one) => one.child.name)]
  }
  expect(names([])).toEqual([['Bao'], ['Amara']])
  expect(names([tried('Amara')])).toEqual([['Amara', 'Bao'], []])
})

test('a row is written for whoever has an outcome and nothing said of her yet', () => {
  const solo = { skill_id: 'plank-id', role: 'solo' as const }
  const said = tried('Bao', { ...solo, weight: 'summary', outcome: 'shaky' })
  const now = evening({ tries: [tried('Amara', solo), said] })
  const { lines } = linesOf(now, plank)
  expect(lines.map((one) => stands(one, new Map()))).toEqual(['clean', 'shaky', null])
  const row = { skill: 'plank', role: 'solo', weight: 'summary' }
  expect(entriesFor('plank', lines, new Map())).toEqual([
    { ...row, student: 'Amara', outcome: 'clean', spot: 'hands_on' },
  ])
  const chosen = new Map<string, Outcome | null>([
    ['Amara', null],
    ['Bao', 'clean'],
    ['Demba', 'not_there'],
  ])
  expect(entriesFor('plank', lines, chosen)).toEqual([
    { ...row, student: 'Demba', outcome: 'not_there', spot: 'none' },
  ])
  expect(changesOf(lines, chosen)).toEqual([{ said, outcome: 'clean' }])
  expect(changesOf(lines, new Map([['Bao', 'shaky']]))).toEqual([])
})
