import { expect, test } from 'vitest'
import { card, child, evening, line, plank, proposed, tried } from '../lesson/sample'
import { unitsOf, type Unit } from './units'

function told(units: readonly Unit[]) {
  return units.map(({ seats }) => seats.map(({ child, role }) => `${child.name} ${role}`))
}

test('each group is one row in the order of its roles, then who is in none, by name', () => {
  const now = evening({
    children: [child('Hana'), child('Demba'), child('Amara'), child('Bao')],
    proposed: proposed({ flyer: ['Demba'], base: ['Bao'] }),
  })
  expect(told(unitsOf(now, card(), null))).toEqual([
    ['Bao base', 'Demba flyer'],
    ['Amara base'],
    ['Hana base'],
  ])
  expect(unitsOf(now, card(), null)[0]).toMatchObject({ key: 'Bao+Demba', group: 'group 0' })
})

test('without groups each child is a row of her own', () => {
  expect(told(unitsOf(evening(), plank, null))).toEqual([
    ['Amara solo'],
    ['Bao solo'],
    ['Demba solo'],
  ])
})

test('who is away has no row, and is named in her group', () => {
  const now = evening({
    children: [child('Amara', { state: 'away' }), child('Bao'), child('Demba', { state: 'away' })],
    proposed: proposed({ base: ['Amara'], flyer: ['Bao'] }, { base: ['Demba'] }),
  })
  const units = unitsOf(now, card(), null)
  expect(told(units)).toEqual([['Bao flyer']])
  expect(units[0]!.missing).toEqual(['Amara'])
})

test('a child who spots is named and nothing is logged for her in the group', () => {
  const now = evening({
    proposed: proposed({ base: ['Amara'], flyer: ['Bao'], spotter: ['Demba'] }),
  })
  const [group, alone] = unitsOf(now, card(), null)
  expect(told([group!])).toEqual([['Amara base', 'Bao flyer']])
  expect(group!.helpers).toEqual(['Demba'])
  expect(told([alone!])).toEqual([['Demba base']])
})

test('in no group she is as chosen, as she last was, as she is ready, as the card begins', () => {
  const ready = child('Amara', {
    skills: [line('seat', 'base'), line('seat', 'flyer', { ready: true })],
  })
  const role = (tries: Parameters<typeof evening>[0], chosen: 'base' | null = null) =>
    unitsOf(evening({ children: [ready], ...tries }), card(), chosen)[0]!.seats[0]!.role
  expect(role({})).toBe('flyer')
  expect(role({ tries: [tried('Amara', { role: 'base' })] })).toBe('base')
  expect(role({}, 'base')).toBe('base')
  expect(role({ children: [child('Bao')] })).toBe('base')
})

test('what keeps a child from it is said, each reason once', () => {
  const resting = { ...line('seat', 'base'), stopped: true, says: 'not for now: comes later' }
  const bars = (who: ReturnType<typeof child>, other: object = {}) =>
    unitsOf(evening({ children: [who], ...other }), card(), 'base')[0]!.bars.map((one) => one.says)
  expect(bars(child('Amara'))).toEqual([])
  expect(bars(child('Amara', { state: 'not_today' }))).toEqual(['not today'])
  expect(bars(child('Amara', { skills: [resting] }))).toEqual(['not for now: comes later'])
  expect(bars(child('Amara', { trial: true }))).toEqual(['on trial: nothing lifted yet'])
  const fall = { body: { student: 'Amara', skill_id: 'seat-id' } }
  expect(bars(child('Amara'), { falls: [fall] })).toEqual([
    'closed for her until a teacher has looked',
  ])
  const elsewhere = { body: { ...fall.body, skill_id: 'plank-id' } }
  expect(bars(child('Amara'), { falls: [elsewhere] })).toEqual([])
})
