import fc from 'fast-check'
import { expect, test } from 'vitest'
import { along, LEVELS, picture, type Help, type SkillPath } from './picture'
import { begunSaid, nowSaid, pictured, rows, triesSaid } from './told'

const DAYS = { first: '2026-08-17', last: '2026-12-29' }
const SAYS = {
  not_yet: 'not started',
  hands_on: 'with hands on',
  hands_near: 'with hands near',
  no_spot: 'with no spot',
}

function reading(on: string, help: Help | null, percent: number | null = null) {
  return { on, help, says: help ? SAYS[help] : 'there', word: 'on the way', percent }
}

type Try = SkillPath['evenings'][number]['tries'][number]
const TRY: Try = { attempt: 'a', spot: 'hands_near', outcome: 'shaky', weight: 'own', logged_as: null }

const LEAN: SkillPath = {
  skill: 'facing_lean_straight',
  name: 'Facing lean held straight',
  role: 'partner',
  taught: true,
  habit: false,
  at_first: reading('2026-08-17', 'hands_on'),
  evenings: [
    { reading: reading('2026-09-15', 'hands_on'), tries: [TRY, { ...TRY, attempt: 'b' }] },
    {
      reading: reading('2026-10-27', 'no_spot', 60),
      tries: [{ ...TRY, attempt: 'c', outcome: 'clean', spot: 'none', weight: 'together' }],
    },
  ],
  at_last: reading('2026-11-26', 'hands_near', 50),
}
const HABIT: SkillPath = {
  ...LEAN,
  habit: true,
  at_first: null,
  evenings: [{ reading: reading('2026-09-15', null), tries: [{ ...TRY, outcome: 'clean' }] }],
  at_last: reading('2026-11-26', null),
}

test('help stays as an evening left it until another is read', () => {
  const { steps, turns, evenings, most } = picture(LEAN, DAYS)
  expect(steps.map(({ help, since }) => [help, since])).toEqual([
    ['hands_on', '2026-08-17'],
    ['no_spot', '2026-10-27'],
    ['hands_near', '2026-11-26'],
  ])
  expect(turns.map(({ before, after }) => [before, after])).toEqual([
    ['hands_on', 'no_spot'],
    ['no_spot', 'hands_near'],
  ])
  expect(steps[0]).toMatchObject({ from: 0, to: along('2026-10-27', DAYS) })
  expect(evenings.map((one) => one.tries.length)).toEqual([2, 1])
  expect(most).toBe(2)
})

test('of what nobody has tried before nothing stands before its first evening', () => {
  const { steps } = picture({ ...LEAN, at_first: null }, DAYS)
  expect(steps[0]).toMatchObject({ since: '2026-09-15', from: along('2026-09-15', DAYS) })
})

test('a habit has evenings and no steps', () => {
  const drawn = picture(HABIT, DAYS)
  expect([drawn.steps, drawn.turns]).toEqual([[], []])
  expect(drawn.evenings).toHaveLength(1)
})

test('days stand where they are among others, also where there is but one', () => {
  expect(along(DAYS.first, DAYS)).toBe(0)
  expect(along(DAYS.last, DAYS)).toBe(100)
  expect(along('2026-08-24', { first: '2026-08-17', last: '2026-08-31' })).toBe(50)
  expect(along('2026-08-17', { first: '2026-08-17', last: '2026-08-17' })).toBe(0)
})

test('steps cover the way from the first reading to the last without a gap', () => {
  const helps = fc.array(fc.constantFrom(...LEVELS), { minLength: 1, maxLength: 18 })
  const day = (place: number) => new Date(Date.UTC(2026, 7, 17 + 7 * place)).toISOString().slice(0, 10)
  fc.assert(
    fc.property(helps, fc.constantFrom(...LEVELS), (evenings, last) => {
      const { steps, turns } = picture(
        {
          ...LEAN,
          at_first: null,
          evenings: evenings.map((help, place) => ({ reading: reading(day(place), help), tries: [] })),
          at_last: reading(day(evenings.length), last),
        },
        DAYS,
      )
      expect(steps[0]!.from).toBe(0)
      expect(steps.at(-1)).toMatchObject({ help: last, to: along(day(evenings.length), DAYS) })
      for (const [place, { at, before, after }] of turns.entries()) {
        expect(steps[place]).toMatchObject({ help: before, to: at })
        expect(steps[place + 1]).toMatchObject({ help: after, from: at })
        expect(before).not.toBe(after)
      }
    }),
  )
})

test('the words of a picture tell all that is in it', () => {
  expect(pictured(picture(LEAN, DAYS), DAYS)).toBe(
    '17 August to 29 December 2026. Help needed: hands on from 17 August, no spot from 27 October, ' +
      'hands near from 26 November. 3 tries on 2 evenings.',
  )
  expect(pictured(picture(HABIT, DAYS), DAYS)).toBe(
    '17 August to 29 December 2026. One try on one evening.',
  )
})

test('how it began and how it stands is said without a number', () => {
  expect([begunSaid(LEAN), nowSaid(LEAN)]).toEqual([
    '17 August: with hands on',
    '26 November: with hands near',
  ])
  expect([begunSaid(HABIT), nowSaid(HABIT)]).toEqual([
    'first tried on 15 September',
    '26 November: there',
  ])
})

test('rows of the table are the evenings between what was before and what is now', () => {
  expect(rows(LEAN).map(({ when, says, tries, likely }) => [when, says, tries, likely])).toEqual([
    ['before 17 August', 'with hands on', '', 'on the way'],
    ['15 September', 'with hands on', '2 × shaky, hands near', 'on the way'],
    ['27 October', 'with no spot', 'clean, no spot, as one of a group', 'on the way, about 60 %'],
    ['as of 26 November', 'with hands near', '', 'on the way, about 50 %'],
  ])
  expect(new Set(rows(LEAN).map((one) => one.key)).size).toBe(4)
})

test('a try says what it was logged as, and of a habit no spot', () => {
  const tries: Try[] = [{ ...TRY, logged_as: 'Facing lean' }, TRY]
  expect(triesSaid(tries, false)).toBe('shaky, hands near, logged as Facing lean; shaky, hands near')
  expect(triesSaid([TRY], true)).toBe('shaky')
})
