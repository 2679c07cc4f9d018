import { expect, test } from 'vitest'
import { askedOf } from '../asked'
import { FREE, mayBeKept, mended, verdictOn } from '../verdict'
import { AROUND, card, entered, evening, SEAT, table } from './evening'

const formed = (base: string, flyer: string, more: object = {}) => ({
  id: null,
  locked: false,
  seats: { base: [base], flyer: [flyer] },
  ...more,
})
const asked = (around = AROUND, rows = [] as ReturnType<typeof entered>[], of = SEAT) =>
  askedOf(evening({ rows }), of, around)

test('groups that nothing is against may be kept', () => {
  const verdict = verdictOn(asked(), [], [formed('Amara', 'Bao')])
  expect(verdict).toEqual(FREE)
  expect(mayBeKept(verdict)).toBe(true)
})

test('a stop counts in a group that is new, not in one that stood', () => {
  const gone = asked(AROUND, [entered('Bao', 'away')])
  const stood = formed('Amara', 'Bao')
  const fresh = formed('Cli', 'Demba')
  expect(verdictOn(gone, [stood], [stood, fresh]).stops).toEqual([])
  expect(verdictOn(gone, [], [stood, fresh]).stops.map((one) => one.code)).toEqual(['not_here'])
})

test('what stops all groups together counts as soon as one changes', () => {
  const narrow = asked({ ...AROUND, table: table({ groups_at_most: 1 }) })
  const two = [formed('Amara', 'Bao'), formed('Cli', 'Demba')]
  expect(verdictOn(narrow, [], two).stops.map((one) => one.code)).toEqual(['mats'])
  expect(verdictOn(narrow, two, two).stops).toEqual([])
})

test('a locked group does not change, whatever it is known by', () => {
  const kept = formed('Amara', 'Bao', { id: 'g', locked: true })
  const here = formed('Cli', 'Demba', { locked: true })
  const before = [kept, here]
  expect(verdictOn(null, before, before).locked).toEqual([])
  expect(verdictOn(null, before, [{ ...kept, seats: here.seats }, here]).locked).toEqual([1])
  expect(verdictOn(null, before, [kept]).locked).toEqual([2])
  expect(mayBeKept(verdictOn(null, before, [kept]))).toBe(false)
})

test('an assistant leaves lifts and asks to a teacher', () => {
  const assistant = { ...AROUND, assistant: true }
  const groups = [formed('Amara', 'Bao')]
  expect(verdictOn(asked(assistant), [], groups).forATeacher).toBe(false)
  const lift = card('seat', { lifted: true })
  expect(verdictOn(asked(assistant, [], lift), [], groups).forATeacher).toBe(true)
  expect(verdictOn(asked(AROUND, [], lift), [], groups).forATeacher).toBe(false)
})

test('the least change is offered where something stops, and where it helps', () => {
  const gone = asked(AROUND, [entered('Bao', 'away')])
  const [change] = mended(gone, [formed('Amara', 'Bao')])?.changes ?? []
  expect(change?.goes).toEqual(['Bao'])
  expect(mended(asked(), [formed('Amara', 'Bao')])).toBe(null)
  expect(mended(null, [formed('Amara', 'Bao')])).toBe(null)
})

test('groups of nobody are not kept', () => {
  expect(mayBeKept(verdictOn(asked(), [formed('Amara', 'Bao')], []))).toBe(false)
  const nobody = { id: null, locked: false, seats: { base: [] } }
  expect(verdictOn(null, [], [nobody])).toEqual({ ...FREE, empty: true })
})
