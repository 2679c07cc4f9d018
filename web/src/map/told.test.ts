import { expect, test } from 'vitest'
import { edgesOf, graphOf, neededBy, openedBy, type Edge, type MapBody } from './graph'
import { laidClass, laidStudent, sentencesOf, wordsOf } from './laid'
import { SAMPLE } from './sample'
import { familiesOf, needsOf, needsSaid, opensSaid, partsOf, sentenceOf } from './told'
import { reached } from './walk'

const graph = graphOf(SAMPLE)
const families = familiesOf(SAMPLE)
const seat = graph.nodes.get('seat')!

test('what is needed and opened is found through what joins', () => {
  expect(neededBy(graph, 'seat').map((one) => one.key)).toEqual(['plank', 'arch', 'raised'])
  expect(openedBy(graph, 'plank').map((one) => one.key)).toEqual(['raised', 'seat'])
  expect(edgesOf(graph, 'arch').size).toBe(2)
})

test.each([
  ['seat', 'ArrowDown', 'raised'],
  ['seat', 'ArrowUp', 'seat'],
  ['plank', 'ArrowUp', 'raised'],
  ['arch', 'ArrowUp', 'seat'],
  ['plank', 'ArrowRight', 'arch'],
  ['arch', 'ArrowRight', 'arch'],
  ['arch', 'ArrowLeft', 'plank'],
  ['raised', 'ArrowDown', 'plank'],
  ['raised', 'Tab', null],
  ['nowhere', 'ArrowUp', null],
])('from %s %s leads to %s', (from, key, to) => {
  expect(reached(graph, from, key)).toBe(to)
})

test('a card tells all that its picture shows', () => {
  expect(sentenceOf(graph, seat, families, null)).toBe(
    'Seat. Holding. Lifted, low. Roles: base, flyer and spotter. ' +
      'Needs as base: Plank, with hands near; ' +
      'as flyer: one of (Arch, with no spot, or Plank, feet raised, with no spot). ' +
      'No other skill needs it.',
  )
  const plank = graph.nodes.get('plank')!
  expect(sentenceOf(graph, plank, families, null)).toBe(
    'Plank. Holding. On the floor. Roles: solo. Needs no other skill. ' +
      'Opens Plank, feet raised and Seat.',
  )
})

test('a choice is told as one, and a step of a circle as a fault', () => {
  expect(needsOf(graph, 'seat').map(({ kind, of }) => [kind, of.length])).toEqual([
    ['skill', 0],
    ['one_of', 2],
  ])
  const [first, ...others] = SAMPLE.edges
  const round = graphOf({ ...SAMPLE, edges: [{ ...first!, circle: true }, ...others] })
  expect(needsOf(round, 'raised')[0]!.circle).toBe(true)
})

test('what changed, and what has no card, is told in words', () => {
  const gone = { ...seat, changed: 'gone' as const }
  expect(partsOf(gone, families, null)[1]!.text).toBe('not in the draft any more')
  expect(sentenceOf(graph, { ...gone }, families, null)).toContain('Not in the draft any more.')
  const unknown = { ...seat, kind: 'unknown' as const, name: null }
  expect(sentenceOf(graph, unknown, families, null)).toMatch(/^Seat\. Needed, and has no card\./)
})

test('what a draft changes in needs is told of both cards, once for a choice that is new', () => {
  const marked = (mark: Record<string, Edge['changed']>, ...nodes: MapBody['nodes']) => {
    const edges = SAMPLE.edges.map((edge) => ({
      ...edge,
      changed: mark[`${edge.from} ${edge.to}`] ?? ('same' as const),
    }))
    return graphOf({ nodes: [...SAMPLE.nodes, ...nodes], edges })
  }
  const one = marked({ 'plank seat': 'gone', 'arch seat.1': 'added', 'raised seat.1': 'changed' })
  expect(needsSaid(one, 'seat')).toBe(
    'Needs as base: Plank, with hands near (no longer); as flyer: one of (Arch, with no spot ' +
      '(newly), or Plank, feet raised, with no spot (in another way)).',
  )
  expect(opensSaid(one, 'plank')).toBe('Opens Plank, feet raised and Seat (no longer).')
  const all = { 'arch seat.1': 'added', 'raised seat.1': 'added', 'seat.1 seat': 'added' } as const
  expect(needsSaid(marked(all), 'seat')).toContain(
    'as flyer: one of (newly) (Arch, with no spot, or Plank, feet raised, with no spot).',
  )
  // All of a card that is new is: it is said of the card.
  expect(needsSaid(marked(all, { ...seat, changed: 'added' }), 'seat')).not.toContain('newly')
})

test('a child is laid over it in words and patterns, role by role', () => {
  const role = { help: 'hands_near', word: 'with hands near', says: 'goes on: so far' } as const
  const laid = laidStudent({
    skills: [
      {
        skill: 'seat',
        roles: [
          { ...role, role: 'base', stands: 'goes_on' },
          { ...role, role: 'flyer', stands: 'not_for_now', says: 'not for now' },
        ],
      },
      { skill: 'plank', roles: [{ ...role, role: 'solo', stands: 'goes_on', help: 'no_spot' }] },
    ],
  })
  const roles = laid.of.get('seat')!
  expect(roles.map((one) => one.pattern)).toEqual(['lines', 'cross'])
  expect(wordsOf(roles)).toBe('base: goes on; flyer: not for now')
  expect(sentencesOf(roles)).toEqual(['base: goes on: so far', 'flyer: not for now'])
  expect(laid.of.get('plank')![0]!.pattern).toBe('full')
  expect(sentenceOf(graph, seat, families, laid)).toContain('Flyer: not for now.')
  expect(new Set(laid.legend.map((one) => one.pattern)).size).toBe(laid.legend.length)
})

test('a class is laid over it in counts', () => {
  const begun = { begun: 'some', counts: [], may_begin: 3, says: 'all of it' } as const
  const laid = laidClass({
    skills: [{ skill: 'plank', roles: [{ ...begun, counts: [], role: 'solo' }] }],
  })
  const [role] = laid.of.get('plank')!
  expect(role).toMatchObject({ pattern: 'dots', says: 'all of it' })
  expect(wordsOf([role!])).toBe('some, 3 may begin')
  const other = { ...role!, role: 'base' as const, more: '' }
  expect(wordsOf([role!, other])).toBe('solo: some; base: some')
})
