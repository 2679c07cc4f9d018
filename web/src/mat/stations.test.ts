import { expect, test } from 'vitest'
import { card, evening, plank, proposed, tried } from '../lesson/sample'
import { searched, stationsOf, type Listed } from './stations'

const roll = card({ skill: 'roll', skill_id: 'roll-id', name: 'Rôle of a log', family: 'Rolling' })
const CARDS = [card(), plank, roll]

function suggestion(skill: string, carries_on = false) {
  return { skill, carries_on, says: `${skill} says`, can_be_placed: 2, worked_out: true }
}

function told(listed: readonly Listed[]) {
  return listed.map(({ card, says }) => [card.skill, ...says])
}

test('what carries on comes first, then what has groups; each skill stands once', () => {
  const found = stationsOf(
    evening({
      cards: CARDS,
      proposed: proposed({ base: ['Amara'] }),
      suggestions: {
        groups: [suggestion('seat')],
        alone: [suggestion('plank', true), suggestion('roll')],
      },
      tries: [tried('Amara', { skill_id: 'plank-id' }), tried('Bao', { skill_id: 'plank-id' })],
    }),
  )
  expect(told(found.tonight)).toEqual([
    ['plank', 'carries on from last time', '2 tries tonight', 'plank says'],
    ['seat', '2 of 3 can be placed'],
  ])
  expect(told(found.used)).toEqual([])
  expect(told(found.suggested)).toEqual([['roll', 'roll says']])
  expect(found.families.map((one) => [one.family, told(one.listed)])).toEqual([
    ['Low lifts', [['seat']]],
    ['Holding tight', [['plank']]],
    ['Rolling', [['roll']]],
  ])
})

test('what was tried tonight and is in no plan is a station so far', () => {
  const found = stationsOf(evening({ cards: CARDS, tries: [tried('Amara')] }))
  expect(told(found.used)).toEqual([['seat', '1 try tonight']])
})

test.each([
  ['role', ['roll']],
  ['LOG rol', ['roll']],
  ['hold', ['plank']],
  ['old', []],
  ['front plank', ['plank']],
])('a search for “%s” finds by the beginnings of words, accents or none', (text, skills) => {
  expect(searched(evening({ cards: CARDS }), text).map((one) => one.card.skill)).toEqual(skills)
})
