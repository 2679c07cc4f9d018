import { expect, test } from 'vitest'
import { conflictOf } from '../conflict'
import { evening, group, groups, row } from './evening'

const MINE = [{ base: ['Cli'], flyer: ['Demba'] }]
const kept = (version: number) =>
  groups('seat', [group({ base: ['Bao'], flyer: ['Amara'] }, { id: 'g1' })], { version })

test('without a refusal there is none', () => {
  expect(conflictOf(evening({ rows: [row(MINE)] }), 'seat')).toBe(null)
  expect(conflictOf(evening({ sheet: { kept: [kept(1)] } }), 'seat')).toBe(null)
})

test('both sets are told, and what mine would be based on', () => {
  const rows = [row(MINE, { state: 'refused', code: 'newer', version: 3 }, 1)]
  expect(conflictOf(evening({ sheet: { kept: [kept(3)] }, rows }), 'seat')).toMatchObject({
    why: 'newer',
    theirs: { version: 3 },
    known: true,
    version: 3,
  })
})

test('what the sheet does not have yet is not known', () => {
  const rows = [row(MINE, { state: 'refused', code: 'newer', version: 3 }, 1)]
  expect(conflictOf(evening({ sheet: { kept: [kept(2)] }, rows }), 'seat')).toMatchObject({
    known: false,
    version: 3,
  })
  expect(conflictOf(evening({ rows }), 'seat')).toMatchObject({ theirs: null, known: false })
})

test('whatever else the server said is told as such', () => {
  const of = (code: string) =>
    conflictOf(evening({ rows: [row(MINE, { state: 'refused', code, version: null })] }), 'seat')
  expect(of('stopped')).toMatchObject({ why: 'stopped', theirs: null, known: true, version: 0 })
  expect(of('not_allowed')?.why).toBe('not_allowed')
  expect(of('unknown')?.why).toBe('other')
})
