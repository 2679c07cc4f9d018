import { expect, test } from 'vitest'
import type { Card, Child, Tonight } from '../lesson/tonight'
import { waysOf } from './ways'

const PLAIN = { key: 'step', name: 'step up', spot: null, needs: [] }
const HOP = {
  key: 'hop',
  name: 'small hop',
  spot: 'on the far side',
  needs: [
    { role: 'base', says: 'lunge hold with no spot' },
    { role: 'flyer', says: 'hop with no spot' },
  ],
}
const ROLES = [{ role: 'base' }, { role: 'flyer' }, { role: 'spotter' }]

function card(other: object = {}): Card {
  const bare = { skill: 'rest', skill_id: 'rest-id', roles: ROLES, ways_in: [PLAIN, HOP] }
  return { ...bare, shapes: [], ways_out: [], ...other } as unknown as Card
}

function child(name: string, without: Record<string, string[]> | null, other: object = {}): Child {
  const skills = Object.entries(without ?? {}).map(([role, keys]) => ({
    skill: 'rest',
    role,
    without: keys,
  }))
  return { id: name, name, state: 'here', skills, ...other } as unknown as Child
}

const AMARA = child('Amara', { base: [], flyer: ['hop'] })
const BAO = child('Bao', { base: [], flyer: [] })
const HANA = child('Hana', { base: ['hop'], flyer: ['hop'] })

function evening(here: readonly Child[], proposed: object[] = []): Tonight {
  return { here, cards: new Map(), sheet: { kept: [], proposed } } as unknown as Tonight
}

function needs(now: Tonight, of = card()) {
  return waysOf(now, of, 'ways_in')[1]!.needs
}

test('a way that asks nothing is only named', () => {
  expect(waysOf(evening([AMARA]), card(), 'ways_in')[0]).toEqual(PLAIN)
  expect(waysOf(evening([AMARA]), card(), 'shapes')).toEqual([])
})

test('each role is told with those of tonight for whom something is missing', () => {
  expect(needs(evening([AMARA, BAO, HANA]))).toEqual([
    { roles: ['base'], says: 'lunge hold with no spot', missing: ['Hana'], everybody: false },
    { roles: ['flyer'], says: 'hop with no spot', missing: ['Amara', 'Hana'], everybody: false },
  ])
})

test('everybody is said once, and of one child by her name', () => {
  expect(needs(evening([AMARA, HANA]))[1]).toMatchObject({ everybody: true })
  expect(needs(evening([AMARA]))[1]).toMatchObject({ everybody: false, missing: ['Amara'] })
})

test('whoever rests tonight is not asked, and of a new child nothing is known to be there', () => {
  const resting = { ...HANA, state: 'not_today' as const }
  expect(needs(evening([BAO, resting, child('Demba', null)]))[0]).toMatchObject({
    missing: ['Demba'],
  })
})

test('where there are groups tonight each is asked for her own role', () => {
  const seats = [
    { role: 'base', students: [{ id: 'Hana', name: 'Hana' }] },
    { role: 'flyer', students: [{ id: 'Bao', name: 'Bao' }] },
  ]
  const now = evening([AMARA, BAO, HANA], [{ skill: 'rest', groups: [{ id: null, seats }] }])
  expect(needs(now).map((one) => one.missing)).toEqual([['Hana'], []])
})

test('a role that is the only one need not be said', () => {
  const lean = card({ roles: [{ role: 'partner' }, { role: 'spotter' }] })
  const way = { ...HOP, needs: [{ role: 'partner', says: 'bridge' }] }
  expect(needs(evening([]), { ...lean, ways_in: [PLAIN, way] } as Card)[0]).toEqual({
    roles: [],
    says: 'bridge',
    missing: [],
    everybody: false,
  })
})

test('what is asked of several roles alike is said once', () => {
  const says = 'roll out with no spot'
  const way = { ...HOP, needs: [{ role: 'base', says }, { role: 'flyer', says }] }
  const of = card({ ways_in: [PLAIN, way] })
  const roles = ['base', 'flyer']
  expect(needs(evening([AMARA, BAO, HANA]), of)).toEqual([
    { roles, says, missing: ['Amara', 'Hana'], everybody: false },
  ])
  const seats = [
    { role: 'base', students: [{ id: 'Amara', name: 'Amara' }] },
    { role: 'flyer', students: [{ id: 'Hana', name: 'Hana' }] },
  ]
  const now = evening([AMARA, BAO, HANA], [{ skill: 'rest', groups: [{ id: null, seats }] }])
  expect(needs(now, of)).toEqual([{ roles, says, missing: ['Hana'], everybody: false }])
})
