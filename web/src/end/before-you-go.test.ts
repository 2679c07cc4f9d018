import { expect, test } from 'vitest'
import type { Child, Tonight } from '../lesson/tonight'
import { beforeYouGo } from './before-you-go'

const CARDS = [
  { skill: 'tight', skill_id: 'tight-id', name: 'Standing tight', habit: false },
  { skill: 'lean', skill_id: 'lean-id', name: 'Facing lean', habit: false },
  { skill: 'rest', skill_id: 'rest-id', name: 'Chest rest', habit: false },
  { skill: 'stop', skill_id: 'stop-id', name: 'The stop word', habit: true },
]

function child(name: string, other: object = {}): Child {
  return { id: name.toLowerCase(), name, state: 'here', revision: 1, ...other } as Child
}

function tried(student: string, skill: string, role: string) {
  return { student, skill_id: `${skill}-id`, role }
}

function evening(children: readonly Child[], tries: object[] = [], falls: object[] = []): Tonight {
  return {
    children,
    here: children.filter((one) => one.state !== 'away'),
    tries,
    falls,
    cards: new Map(CARDS.map((one) => [one.skill, one])),
  } as unknown as Tonight
}

function names(children: readonly Child[]): string[] {
  return children.map((one) => one.name)
}

const THREE = [child('Amara'), child('Bao'), child('Hana')]

test('up is as flyer or as one of two partners, and neither as base nor alone', () => {
  const tries = [
    tried('amara', 'rest', 'base'),
    tried('bao', 'rest', 'flyer'),
    tried('hana', 'tight', 'solo'),
  ]
  const found = beforeYouGo(evening(THREE, tries))
  expect(names(found.notUp)).toEqual(['Amara', 'Hana'])
  expect(found.anybodyUp).toBe(true)
  const leaned = [...tries, tried('amara', 'lean', 'partner'), tried('hana', 'lean', 'partner')]
  expect(beforeYouGo(evening(THREE, leaned)).notUp).toEqual([])
})

test('a habit lifts nobody', () => {
  const found = beforeYouGo(evening([child('Amara')], [tried('amara', 'stop', 'partner')]))
  expect(names(found.notUp)).toEqual(['Amara'])
  expect(found.anybodyUp).toBe(false)
  expect(found.noEntry).toEqual([])
})

test('whoever is here and has not one try', () => {
  const found = beforeYouGo(evening(THREE, [tried('bao', 'stop', 'partner')]))
  expect(names(found.noEntry)).toEqual(['Amara', 'Hana'])
  expect(found.anyEntry).toBe(true)
  expect(beforeYouGo(evening(THREE)).anyEntry).toBe(false)
})

test('nobody waits for a child who is away or rests tonight', () => {
  const children = [child('Amara', { state: 'away' }), child('Bao', { state: 'not_today' })]
  const found = beforeYouGo(evening(children))
  expect(found.notUp).toEqual([])
  expect(found.noEntry).toEqual([])
})

test('of whom nobody has said whether she is here', () => {
  const found = beforeYouGo(evening([child('Amara'), child('Bao', { revision: null })]))
  expect(names(found.notEntered)).toEqual(['Bao'])
})

test('falls that are written on this phone, in words', () => {
  const body = { student: 'bao', skill_id: 'rest-id', kind: 'near_miss', phase: 'way_in' }
  const gone = { ...body, student: 'nobody', skill_id: 'none', kind: 'fall', phase: 'hold' }
  const found = beforeYouGo(
    evening(THREE, [], [
      { id: '1', body },
      { id: '2', body: gone },
    ]),
  )
  expect(found.falls).toEqual([
    { id: '1', name: 'Bao', skill: 'Chest rest', kind: 'near_miss', phase: 'way_in' },
    { id: '2', name: null, skill: '', kind: 'fall', phase: 'hold' },
  ])
})
