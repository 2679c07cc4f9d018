import { expect, test } from 'vitest'
import { tonight } from '../../lesson/tonight'
import { made, type Bodies, type Row } from '../../store/row'
import { askedOf, asOnTheSheet, type Around } from '../asked'
import { AROUND, entered, evening, group, groups, SEAT, table } from './evening'

function said(what: object): Row {
  const body = { id: 'l', said: what } as Bodies['lesson']
  return made('lesson', body, 'lesson', '2026-12-01', 0) as Row
}

test('who is here, who is not today, and who is away', () => {
  const rows = [entered('Bao', 'away'), entered('Cli', 'not_today')]
  const asked = askedOf(evening({ rows }), SEAT, AROUND)!
  expect(asked.here).toEqual(['Amara', 'Demba', 'Esme'])
  expect(asked.notToday).toEqual(['Cli'])
  expect(asked.names.get('Bao')).toBe('Bao')
  expect(askedOf(evening(), SEAT, { ...AROUND, table: null })).toBe(null)
})

test('adults and mats count as they were entered here, else as the table has them', () => {
  const member = (id: string, may_spot: string[]) => ({ id, may_spot }) as Around['staff'][number]
  const staff = [member('Maya', ['lifts']), member('Noa', ['all']), member('Pia', [])]
  const around = { ...AROUND, staff, table: table({ adults: 1 }) }
  const adults = (what: object) =>
    askedOf(evening({ rows: [said(what)] }), SEAT, around)?.adults
  expect(adults({ mats: 4 })).toBe(undefined)
  expect(adults({ spotters: [] })).toBe(0)
  expect(adults({ spotters: ['Maya', 'Noa'] })).toBe(2)
  expect(adults({ spotters: ['Maya', 'Pia'] })).toBe(1)
  const mats = askedOf(evening({ rows: [said({ mats: 2 })] }), SEAT, AROUND)?.mats
  expect(mats).toBe(2)
  expect(askedOf(evening(), SEAT, AROUND)?.mats).toBe(undefined)
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
