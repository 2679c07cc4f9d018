import 'fake-indexeddb/auto'
import { afterEach, expect, test } from 'vitest'
import { openStore } from '../store/open'
import { LESSON, sample, samples } from '../store/sample'
import type { Row } from '../store/row'
import type { Counts } from '../store/store'
import { line } from './line'
import { namesFor, type Names } from './names'
import { rescueIn, rescues } from './rescue'
import { placeOf, told, why } from './told'

const NAMES: Names = {
  children: new Map([['child', 'Juniper']]),
  skills: new Map([['skill', { key: 'facing_lean', name: 'Facing lean' }]]),
}
const at = (hour: string, day = 1) => new Date(`2026-12-0${day}T${hour}:00`).getTime()
const counts = (said: Partial<Counts> = {}): Counts => ({
  waiting: 0,
  tries: 0,
  held: 0,
  refused: 0,
  since: null,
  ...said,
})

test.each([
  [null, 'idle', 'signed_in', 'Reading what is on this phone …'],
  [counts(), 'idle', 'signed_in', 'All sent'],
  [counts(), 'signed_out', 'ended', 'Signed out: what you enter stays on this phone'],
  [
    counts({ held: 1, refused: 2 }),
    'idle',
    'signed_in',
    'All sent · 2 need a look · 1 with a head teacher',
  ],
  [
    counts({ waiting: 3, tries: 3, since: at('15:02') }),
    'waiting',
    'unknown',
    '3 tries on this phone since 15:02',
  ],
  [
    counts({ waiting: 1, tries: 1, since: at('15:02') }),
    'sending',
    'signed_in',
    '1 try on this phone since 15:02',
  ],
  [
    counts({ waiting: 3, tries: 2, since: at('15:02', 2) }),
    'waiting',
    'unknown',
    '3 entries on this phone since 2 December, 15:02',
  ],
  [
    counts({ waiting: 3, tries: 3, since: 1 }),
    'signed_out',
    'ended',
    '3 tries not sent: sign in again',
  ],
  [
    counts({ waiting: 1, since: 1 }),
    'other_member',
    'ended',
    '1 entry not sent: somebody else is signed in',
  ],
  [
    counts({ waiting: 2, since: 1 }),
    'update',
    'signed_in',
    '2 entries not sent: a newer version is needed',
  ],
] as const)('%j, %s, %s: “%s”', (now, standing, signedIn, text) => {
  expect(line(now, standing, signedIn, at('18:00'))).toBe(text)
})

test.each([
  [sample('attempts', '1'), 'Facing lean, Juniper', 'base, clean, hands on'],
  [sample('attempts', '1', { outcome: 'removed' }), 'Facing lean, Juniper', 'base, taken back'],
  [
    sample('attempts', '1', { outcome: 'shaky', measure: 12, spot: 'none' }),
    'Facing lean, Juniper',
    'base, shaky (12), no spot',
  ],
  [
    sample('attempts', '1', { student: 'x', skill_id: 'y' }),
    'a skill that is not on this phone, a child who is not on this phone',
    'base, clean, hands on',
  ],
  [sample('students', '1', { initial: 'K' }), 'Juniper K, on trial', ''],
  [sample('attendance', '1', { state: 'not_today' }), 'Juniper: not today', ''],
  [sample('falls', '1'), 'Facing lean, Juniper', 'nearly, hold'],
  [sample('groups', '1'), 'Groups for Facing lean', ''],
  [
    sample('lesson', '1', { said: { mats: 2, note: 'x' } }),
    'About the evening',
    'mats, line for next week',
  ],
] as [Row, string, string][])('a row in words: %#', (row, what, more) => {
  expect(told(row, NAMES)).toEqual({ what, more })
})

test.each([
  ['unknown', '/rows/3/student', 'The school knows no such child, or not in your classes.'],
  ['unknown', '/rows/3/skill_id', 'The curriculum in use has no such skill.'],
  ['unknown', null, 'The lesson, or something named here, is not among yours.'],
  [
    'newer',
    '/rows/0/based_on',
    'Somebody has changed these groups since. Theirs stand until you choose.',
  ],
  ['a later word', null, 'It was not taken (a later word).'],
])('why %s at %s', (code, pointer, text) => {
  expect(why({ code, pointer })).toBe(text)
})

test('every code that the service refuses a row with has words of its own', () => {
  const codes = [
    'invalid',
    'unknown',
    'erased',
    'id_reused',
    'too_late',
    'newer',
    'stopped',
    'not_allowed',
    'too_large',
  ]
  for (const code of codes) {
    const text = why({ code, pointer: null })
    expect(text).not.toContain(code)
  }
})

test('each leads to where it is entered anew; a child on trial is corrected in place', () => {
  const places = (['attempts', 'falls', 'groups', 'attendance', 'lesson', 'students'] as const).map(
    (kind) => placeOf(sample(kind, '1') as Row, NAMES),
  )
  expect(places).toEqual([
    '/lessons/lesson/mat/facing_lean',
    '/lessons/lesson/mat/facing_lean',
    '/lessons/lesson/groups/facing_lean',
    '/lessons/lesson',
    '/lessons/lesson',
    null,
  ])
  const unknown = { ...NAMES, skills: new Map() }
  expect(placeOf(sample('attempts', '1') as Row, unknown)).toBe('/lessons/lesson/mat')
  expect(placeOf(sample('groups', '1') as Row, unknown)).toBe('/lessons/lesson/groups')
})

let closed = () => {}
afterEach(() => closed())

test('names come from what was read, then from what was entered here', async () => {
  const store = openStore('names')
  closed = () => store.close()
  const read = (url: string, body: unknown) => store.keep({ url, etag: null, body, read_at: 1 })
  await read('/api/v1/students?limit=500', { rows: [{ id: 'child', name: 'Juniper' }] })
  await read(`/api/v1/lessons/${LESSON}/sheet`, {
    children: [{ id: 'visitor', name: 'Rowan' }],
    cards: [{ skill_id: 'skill', skill: 'facing_lean', name: 'Facing lean' }],
  })
  const rows = [
    sample('students', 'new', { given_name: 'Wren', initial: 'A' }),
    sample('attempts', '1'),
  ]
  const names = await namesFor(store, rows)
  expect([...names.children]).toEqual([
    ['child', 'Juniper'],
    ['visitor', 'Rowan'],
    ['new', 'Wren A'],
  ])
  expect(names.skills.get('skill')).toEqual({ key: 'facing_lean', name: 'Facing lean' })
})

test('a rescue holds the tries that wait, as they were written, in files that can be sent', () => {
  const settled = { ...sample('attempts', 'stored'), state: 'stored' } as Row
  const rows = [sample('falls', 'fall'), settled, ...samples('attempts', 251)]
  const files = rescues('maya', rows)
  expect(files.map((file) => [file.member, file.rows.length])).toEqual([
    ['maya', 250],
    ['maya', 1],
  ])
  expect(files[1]!.rows).toEqual([sample('attempts', 'attempts-250').body])
  expect(rescues('maya', [sample('falls', 'fall')])).toEqual([])
})

test('what was saved is read again, and nothing else is', () => {
  const [file] = rescues('maya', samples('attempts', 1))
  expect(rescueIn(JSON.stringify(file))).toEqual(file)
  for (const text of ['', '[]', 'null', '{"member": 1, "rows": []}', '{"member": "m"}']) {
    expect(rescueIn(text)).toBeNull()
  }
})
