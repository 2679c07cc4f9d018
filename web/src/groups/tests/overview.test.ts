import { expect, test } from 'vitest'
import { leadsOf } from '../leads'
import { leftLines, linesOf } from '../lines'
import { turned } from '../locks'
import { overviewOf } from '../overview'
import { placesFor } from '../places'
import { viewOf } from '../view'
import { AROUND, card, entered, evening, group, groups, LEAN, row, SEAT, who } from './evening'

const suggestion = (skill: string) => ({ skill, name: skill, says: `${skill} suits` })

test('what is kept or made comes first, then what suits, then the rest', () => {
  const sheet = {
    cards: [
      SEAT,
      LEAN,
      card('alone', { alone: true }),
      card('count', { habit: true }),
      card('ring'),
    ],
    suggestions: { groups: [suggestion('lean'), suggestion('seat')] },
    proposed: [groups('lean', [group({ partner: ['Amara', 'Bao'] })])],
  }
  const rows = [row([{ base: ['Cli'], flyer: ['Demba'] }])]
  const { decided, suggested, others } = overviewOf(evening({ sheet, rows }))
  expect(decided.map((one) => [one.skill, one.source, one.state])).toEqual([
    ['seat', 'made', 'waiting'],
  ])
  expect(suggested.map((one) => [one.skill, one.says, one.line?.source])).toEqual([
    ['lean', 'lean suits', 'proposed'],
  ])
  expect(others.map((one) => one.skill)).toEqual(['ring'])
})

test('only those who are here count as placed', () => {
  const rows = [
    row([{ base: ['Cli'], flyer: ['Demba'] }], { state: 'refused', code: 'newer' }),
    entered('Demba', 'away'),
    entered('Esme', 'not_today'),
  ]
  expect(overviewOf(evening({ rows })).decided[0]).toMatchObject({
    placed: 1,
    here: 3,
    groups: 1,
    state: 'refused',
  })
})

test('a line says who holds which role, and of equals only who', () => {
  const two = { flyer: ['Bao'], base: ['Demba', 'Amara'] }
  expect(linesOf(evening(), SEAT, [{ seats: two }])).toEqual([
    'Group 1: base Amara and Demba; flyer Bao',
  ])
  expect(linesOf(evening(), LEAN, [{ seats: { partner: ['Cli', 'Bao'] } }])).toEqual([
    'Group 1: Bao and Cli',
  ])
})

test('what holds for every group is said once', () => {
  const of = card('seat', {
    lifted: true,
    caution: 'Stand in front',
    agreed_before: { count: 'both aloud', first: null, steps: 4, way_out: 'feet down' },
  })
  const rows = [row([{ base: ['Cli'], flyer: ['Demba'] }, { base: ['Amara'], flyer: ['Bao'] }])]
  const view = viewOf(evening({ rows }), of, AROUND, [])!
  expect(leadsOf(of, view.groups)).toEqual({
    says: [],
    ways: { in: 'sit and lift or hop up', out: 'feet down' },
    first: [
      'Stand in front.',
      'Agreed before: both aloud, four steps, way out: feet down.',
    ],
    then: [
      'Spot: in front.',
      'One group up at a time for each adult; the others wait beside the mat.',
      'In: sit and lift or hop up.',
      'Out: feet down.',
      'Clean when: 5 s.',
    ],
  })
})

test('a child may go where there is room, never into a locked group', () => {
  const ring = card('ring', { roles: [{ role: 'partner', min: 2, max: 3, loads: [] }] })
  const sheet = {
    cards: [ring],
    kept: [
      groups('ring', [
        group({ partner: ['Amara', 'Bao'] }, { id: 'g1' }),
        group({ partner: ['Cli', 'Demba'] }, { id: 'g2', locked: true }),
      ]),
    ],
  }
  const view = viewOf(evening({ sheet }), ring, { ...AROUND, table: null }, [])!
  const to = (student: string) => placesFor(ring, null, view.groups, student)
  expect(to('Esme')).toEqual([
    { group: 0, role: 'partner' },
    { group: null, role: 'partner' },
  ])
  expect(to('Amara')).toEqual([{ group: null, role: 'partner' }])
})

test('a lock is turned on and off', () => {
  const seats = { base: ['a'], flyer: ['b'] }
  expect(turned(turned([], seats), seats)).toEqual([])
  expect(turned([], seats)).toEqual(['base a, flyer b'])
})

test('what is said of several who are still to place is said once', () => {
  const left = (name: string, sentence: string, alternative: string | null = null) => ({
    student: who(name),
    sentence,
    alternative,
  })
  expect(
    leftLines([
      left('Amara', 'a free mat would help'),
      left('Bao', 'a free mat would help', 'has a place in facing lean'),
      left('Cli', 'a free mat would help'),
      left('Demba', ''),
    ]),
  ).toEqual([
    { line: 'A free mat would help.', students: [who('Amara'), who('Cli')] },
    { line: 'A free mat would help. Has a place in facing lean.', students: [who('Bao')] },
    { line: '', students: [who('Demba')] },
  ])
})
