import { expect, test } from 'vitest'
import { freshest, groupsOf, placesOf } from '../seats'
import { evening, group, groups, row } from './evening'

const PROPOSED = { proposed: [groups('seat', [group({ base: ['Amara'], flyer: ['Bao'] })])] }
const TURNED = group({ base: ['Bao'], flyer: ['Amara'] }, { id: 'g1' })
const KEPT = groups('seat', [TURNED], { version: 2 })

test('what was made here goes before what is kept, and that before what is proposed', () => {
  expect(groupsOf(evening(), 'seat')).toEqual([])
  expect(groupsOf(evening({ sheet: PROPOSED }), 'seat')).toEqual([
    { id: null, seats: { base: ['Amara'], flyer: ['Bao'] } },
  ])
  const sheet = { ...PROPOSED, kept: [KEPT] }
  expect(groupsOf(evening({ sheet }), 'seat')).toEqual([
    { id: 'g1', seats: { base: ['Bao'], flyer: ['Amara'] } },
  ])
  const rows = [row([{ base: ['Cli'], flyer: ['Demba'] }])]
  expect(groupsOf(evening({ sheet, rows }), 'seat')).toEqual([
    { id: null, seats: { base: ['Cli'], flyer: ['Demba'] } },
  ])
})

test('groups that were taken back leave the proposal', () => {
  const sheet = { ...PROPOSED, kept: [groups('seat', [], { version: 3 })] }
  expect(freshest(evening({ sheet }), 'seat')?.source).toBe('proposed')
})

test('refused groups stand until somebody puts them aside', () => {
  const mine = [{ base: ['Cli'], flyer: ['Demba'] }]
  const refused = { state: 'refused', code: 'newer', version: 2 }
  const sheet = { kept: [KEPT] }
  const open = evening({ sheet, rows: [row(mine, refused)] })
  expect(freshest(open, 'seat')?.source).toBe('made')
  const aside = evening({ sheet, rows: [row(mine, { ...refused, aside: true })] })
  expect(freshest(aside, 'seat')?.source).toBe('kept')
})

test('a refusal is over once a later row is stored and read', () => {
  const mine = [{ base: ['Cli'], flyer: ['Demba'] }]
  const rows = [
    row(mine, { state: 'refused', code: 'newer', version: 1 }),
    row(mine, { state: 'stored', version: 2 }, 1),
  ]
  expect(freshest(evening({ sheet: { kept: [KEPT] }, rows }), 'seat')?.source).toBe('kept')
})

test('the same children in the same roles are the same group in whatever order', () => {
  expect(placesOf({ base: ['b', 'a'], flyer: ['c'], back: [] })).toBe(
    placesOf({ flyer: ['c'], base: ['a', 'b'] }),
  )
  expect(placesOf({ base: ['a'], flyer: ['b'] })).not.toBe(placesOf({ base: ['b'], flyer: ['a'] }))
})
