import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { address, KINDS, typeOf, type Chosen, type Kind } from './kinds'
import { told, wrongSaid } from './told'

const read = (path: string) =>
  readFileSync(fileURLToPath(new URL(`../../../docs/${path}`, import.meta.url)), 'utf-8')
const { paths } = JSON.parse(read('openapi.json'))
const NOTHING: Chosen = { klass: '', on: '', rows: '', confirmed: false }
const CHOSEN: Chosen = { klass: 'k', on: '2026-03-01', rows: ' 3; 7 ', confirmed: true }
const kind = (name: Kind['name']) => KINDS.find((one) => one.name === name)!

test.each(KINDS.filter(({ columns }) => columns.length))(
  'the columns of $name are those of its example',
  ({ name, columns }) => {
    const header = read(`formats/examples/${name}.csv`).split('\n', 1)[0]!.split(',')
    expect(name === 'seen_before' ? header.slice(0, 1) : header).toEqual(columns)
  },
)

test.each(KINDS)('$name is sent as the contract says', (one) => {
  const path = `/api/v1/${one.path.replace('{class}', '{klass}')}`
  const { parameters } = paths[path][one.method.toLowerCase()]
  const known = parameters.map(({ name }: { name: string }) => name)
  const asked = new URL(address(one, { ...CHOSEN, confirmed: false }, true), 'http://x').searchParams
  for (const name of asked.keys()) expect(known).toContain(name)
  expect([...asked.keys()]).toContain('dry_run')
  const classed = known.includes('class') || one.path.includes('{class}')
  expect(one.klass !== undefined).toBe(classed)
})

test('what was chosen stands in the address, and nothing else', () => {
  expect(address(kind('roster'), CHOSEN, true)).toBe(
    '/api/v1/classes/k/roster?confirm=3%2C7&confirmed=true&dry_run=true',
  )
  expect(address(kind('seen_before'), CHOSEN, false)).toContain('class=k&on=2026-03-01')
  expect(address(kind('wishes'), NOTHING, false)).toBe('/api/v1/files/wishes')
  expect(address(kind('timetable'), { ...NOTHING, confirmed: true }, false)).toBe(
    '/api/v1/timetable?confirmed=true',
  )
})

test('a file goes as what it is', () => {
  expect(typeOf(kind('staff'), 'Staff.XLSX')).toContain('spreadsheet')
  expect(typeOf(kind('staff'), 'staff.txt')).toBe('text/csv')
  expect(typeOf(kind('timetable'), 'x.yml')).toBe('application/yaml')
})

test('what a loader did is told, names where it gives them', () => {
  const lines = told({ mapping: 'a = b', new: 2, changed: ['Sunniva: height'], standing: 0 })
  expect(lines.map(({ names }) => names)).toEqual([[], [], ['Sunniva: height']])
})

test('a place in a document is told in words', () => {
  expect(wrongSaid({ pointer: '/classes/0/starts', detail: 'missing' })).toBe(
    'classes, entry 1, starts: missing',
  )
  expect(wrongSaid({ pointer: '', detail: 'row 2, column “until”: missing' })).toBe(
    'row 2, column “until”: missing',
  )
})
