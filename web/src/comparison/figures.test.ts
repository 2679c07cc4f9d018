import { expect, test } from 'vitest'
import { figuresOf, type Studio } from './figures'

const STUDIO: Studio = {
  studio: 's',
  name: 'Quayside Hall',
  logging: {
    lessons_held: 26,
    lessons_with_entries: 14,
    with_entries: { share: 0.538, low: 0.355, high: 0.712 },
    within_chance: false,
    children: 22,
    tries: 489,
    tries_for_each: 3.04,
    at_once: null,
    loggers: 1,
    by_one: true,
    by_spot: [{ spot: 'hands_on', tries: 88, clean: 0.795 }],
    enough: false,
    sentences: [],
  },
  strictness: { clean: -0.27, low: -0.33, high: -0.21, says: 'more', sentence: '' },
  reached: {
    share: null,
    low: null,
    high: null,
    own: null,
    within_chance: null,
    sentence: 'too little was seen',
  },
}

test('a figure stands with its limits, and what is not known is no nought', () => {
  const found = Object.fromEntries(figuresOf(STUDIO))
  expect(found['Lessons with entries']).toBe('54 % (between 36 % and 71 %)')
  expect(found['Clean more often than elsewhere, skill for skill']).toBe(
    '−27 % (between −33 % and −21 %)',
  )
  expect(found['Clean, hands on']).toBe('80 %')
  for (const name of [
    'Entered several at once, or summed up after',
    'Skills tried this term that need no spot',
    'Kept of its own distance from the others',
  ])
    expect(found[name]).toBe('')
})
