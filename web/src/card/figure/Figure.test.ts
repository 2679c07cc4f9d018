import { render } from 'svelte/server'
import { expect, test } from 'vitest'
import Figure from './Figure.svelte'

const { body } = render(Figure, {
  props: {
    pose: {
      figures: [
        { role: 'base', shoulder: 73, hip: 73, knee: 90, on: { hands: 'floor', knees: 'floor' } },
        { role: 'flyer', hip: 90, on: { hips: 'base.hips' } },
      ],
    },
    says: 'Seat on a table, from the side',
    roles: { base: 'unten', flyer: 'oben' },
  },
})

test('is one picture that is told in words', () => {
  expect(body).toMatch(/<svg [^>]*role="img" aria-label="Seat on a table, from the side"/)
})

test('says the roles in the words that it is given', () => {
  const words = [...body.matchAll(/<text[^>]*>([^<]*)</g)].map(([, word]) => word)
  expect(words).toEqual(['unten', 'oben'])
})

test('sets no style in its markup', () => {
  expect(body).not.toContain('style=')
})
