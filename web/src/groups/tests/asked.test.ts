import { expect, test } from 'vitest'
import { lesson, row } from '../../lesson/sample'
import { tonight } from '../../lesson/tonight'
import { check } from '../../regroup'
import type { Row } from '../../store/row'
import { askedOf, asOnTheSheet } from '../asked'
import { AROUND, child, entered, evening, group, groups, NAMES, SEAT, table } from './evening'

const said = (what: object) => row('lesson', { said: what })

test('who is here, who is not today, and who is away', () => {
  const rows = [entered('Bao', 'away'), entered('Cli', 'not_today')]
  const asked = askedOf(evening({ rows }), SEAT, AROUND)!
  expect(asked.here).toEqual(['Amara', 'Demba', 'Esme'])
  expect(asked.notToday).toEqual(['Cli'])
  expect(asked.names.get('Bao')).toBe('Bao')
  expect(askedOf(evening(), SEAT, { ...AROUND, table: null })).toBe(null)
})

test('adults and mats count as they were entered here, else as the table has them', () => {
  const asked = (what: object, around = AROUND) =>
    askedOf(evening({ rows: [said(what)] }), SEAT, around)
  expect(asked({ mats: 4 })).toMatchObject({ adults: undefined, mats: undefined })
  expect(asked({ mats: 2 })?.mats).toBe(2)
  expect(asked({ spotters: [] })?.adults).toBe(0)
  expect(asked({ spotters: ['Maya', 'Noa'] })?.adults).toBe(2)
  expect(asked({ spotters: ['Maya', 'Pia'] })?.adults).toBe(1)
  const strangers = { ...AROUND, staff: [] }
  expect(asked({ spotters: ['Maya', 'Noa'] }, strangers)?.adults).toBe(1)
  expect(asked({ spotters: [] }, strangers)?.adults).toBe(0)
})

test.each<[string, string[], string[]]>([
  ['nobody', [], ['no_spotter']],
  ['who may spot this family', ['Maya'], []],
  ['who may not', ['Pia'], ['no_spotter']],
])('an adult entered here lifts the stop that none is free: %s', (_, spotters, left) => {
  const told = { code: 'no_spotter', sentence: 'no adult is free' } as const
  const around = { ...AROUND, table: table({ adults: 0, stops: [told] }) }
  const found = evening({ sheet: { lesson: lesson() }, rows: [said({ spotters })] })
  const formed = { id: null, locked: false, seats: { base: ['Amara'], flyer: ['Bao'] } }
  const { stops } = check(askedOf(found, SEAT, around)!, [formed])
  expect(stops.map((one) => one.code)).toEqual(left)
})

test('the room is counted where adults have come or gone, as far as that is sure', () => {
  const children = [...NAMES.map((name) => child(name)), child('Fen', { state: 'away' })]
  const sheet = { lesson: lesson(['Maya'], { adults_needed: 3 }), children }
  const room = (spotters: string[], ...rows: Row[]) =>
    askedOf(evening({ sheet, rows: [said({ spotters }), ...rows] }), SEAT, AROUND)?.room
  expect(room(['Maya'])).toBe(undefined)
  expect(room(['Maya', 'Noa'])).toEqual({ there: 3, needed: 3 })
  expect(room(['Maya', 'Noa'], entered('Bao', 'away'))).toEqual({ there: 3, needed: 3 })
  // One child more may need one adult more; fewer than before are too few all the same.
  expect(room(['Maya', 'Noa'], entered('Fen', 'here'))).toBe(undefined)
  expect(room([], entered('Fen', 'here'))).toEqual({ there: 1, needed: 3 })
})

test('the evening is as on the sheet until something is entered that changes it', () => {
  expect(asOnTheSheet(evening())).toBe(true)
  expect(asOnTheSheet(evening({ rows: [entered('Bao', 'here')] }))).toBe(true)
  expect(asOnTheSheet(evening({ rows: [entered('Bao', 'away')] }))).toBe(false)
  expect(asOnTheSheet(evening({ rows: [said({ mats: 1 })] }))).toBe(false)
  expect(asOnTheSheet(evening({ rows: [said({ spotters: [] })] }))).toBe(false)
  const names = new Map([['Zola', 'Zola']])
  const { sheet } = evening()
  const visit = tonight({ sheet, read_at: 0, tries: [], names, rows: [entered('Zola', 'here')] })
  expect(visit.children).toHaveLength(6)
  expect(asOnTheSheet(visit)).toBe(false)
})

test('what the server says of every group is handed on once', () => {
  const say = { code: 'last_lift', sentence: 'the last lift soon', students: [], role: null }
  const both = [{ base: ['Amara'], flyer: ['Bao'] }, { base: ['Cli'], flyer: ['Demba'] }]
  const kept = [groups('seat', both.map((seats) => group(seats, { says: [say] })), { version: 1 })]
  expect(askedOf(evening({ sheet: { kept } }), SEAT, AROUND)?.says).toEqual([say])
})
