import { expect, test } from 'vitest'
import { child, tried } from '../lesson/sample'
import { correctedBy, entriesOf, lastTried } from './tap'

const AMARA = { child: child('Amara'), role: 'base' as const }
const BAO = { child: child('Bao'), role: 'flyer' as const }
const WAY = { spot: 'hands_on' as const, way_in: 'step_up', way_out: null }

test('a tap on a group is a row for each child, in her role, with one try between them', () => {
  const rows = entriesOf('seat', [AMARA, BAO], WAY, { outcome: 'shaky' })
  const { try_id } = rows[0]!
  expect(try_id).toMatch(/^[0-9a-f-]{36}$/)
  const how = { spot: 'hands_on', outcome: 'shaky', way_in: 'step_up' }
  const both = { skill: 'seat', weight: 'own', try_id, ...how }
  expect(rows).toEqual([
    { student: 'Amara', role: 'base', ...both },
    { student: 'Bao', role: 'flyer', ...both },
  ])
})

test('a group that came down says of each only that', () => {
  const rows = entriesOf('seat', [AMARA, BAO], WAY, { outcome: 'not_there' })
  expect(rows.map((row) => row.weight)).toEqual(['together', 'together'])
  expect(entriesOf('seat', [AMARA], WAY, { outcome: 'not_there' })[0]!.weight).toBe('own')
})

test('a tap on one child is her own try, with what was measured', () => {
  const way = { spot: 'none' as const, way_in: null, way_out: null }
  const [row, ...others] = entriesOf('plank', [AMARA], way, { outcome: 'clean', measure: 21.4 })
  expect(others).toEqual([])
  expect(row).toMatchObject({ weight: 'own', measure: 21.4 })
  expect(row).not.toHaveProperty('way_in')
  expect(row).not.toHaveProperty('way_out')
})

test('two taps are two tries', () => {
  const tap = () => entriesOf('seat', [AMARA], WAY, { outcome: 'clean' })[0]!.try_id
  expect(tap()).not.toBe(tap())
})

const TRIES = [tried('Amara', { outcome: 'shaky' }), tried('Bao', { outcome: 'shaky' })]
const TAPS = [{ at: 1000, attempts: ['Amara attempt', 'Bao attempt'] }]

test('for ten seconds another outcome on one child corrects what was said of her', () => {
  expect(correctedBy(TAPS, TRIES, 'Bao', 'clean', 1000)).toBe(TRIES[1])
  expect(correctedBy(TAPS, TRIES, 'Bao', 'clean', 11_000)).toBe(TRIES[1])
  expect(correctedBy(TAPS, TRIES, 'Bao', 'clean', 11_001)).toBeNull()
})

test('the same outcome again is a further try, and so is a first one', () => {
  expect(correctedBy(TAPS, TRIES, 'Bao', 'shaky', 2000)).toBeNull()
  expect(correctedBy(TAPS, TRIES, 'Demba', 'clean', 2000)).toBeNull()
})

test('what another phone wrote is not corrected by a tap here', () => {
  const theirs = tried('Bao', { attempt: 'theirs', outcome: 'not_there' })
  expect(correctedBy(TAPS, [...TRIES, theirs], 'Bao', 'clean', 2000)).toBeNull()
})

test('last is the physical try that this phone wrote last', () => {
  const group = [
    tried('Amara', { try_id: 'both' }),
    tried('Bao', { try_id: 'both' }),
    tried('Demba', { state: null }),
  ]
  expect(lastTried([tried('Hana'), ...group])).toEqual(group.slice(0, 2))
  expect(lastTried([tried('Demba', { state: null })])).toEqual([])
})
