import { expect, test } from 'vitest'
import { asked, classesOf, termsOf } from './asked'
import { bySkill, families, wentByChild, type Progress } from './lists'

const CHILDREN = ['Amara', 'Bao', 'Þóra'].map((name) => ({ id: name, name, trial: false }))

function skill(name: string, family: string, roles: Record<string, string[]>): Progress['skills'][number] {
  return {
    skill: name,
    name,
    family,
    habit: false,
    roles: Object.entries(roles).map(([role, tried]) => ({
      role: role as 'solo',
      children: tried.map((student) => ({ student, help: 'hands_on', says: 'with hands on' })),
    })),
  }
}

const SKILLS = [
  skill('Table', 'Planks', { solo: ['Þóra', 'Amara'] }),
  skill('Lean', 'Leans', { base: [], flyer: ['Bao'] }),
  skill('Arch', 'Planks', { solo: [] }),
]
const CLASS = { children: CHILDREN, skills: SKILLS }
const names = (rows: readonly { name: string }[]) => rows.map((one) => one.name)

test('skills stand in teaching order or by name, those that nobody has tried apart', () => {
  const { tried, untried } = bySkill(CLASS, { family: '', order: 'teaching' })
  expect([names(tried), untried]).toEqual([['Table', 'Lean'], ['Arch']])
  expect(names(bySkill(CLASS, { family: '', order: 'name' }).tried)).toEqual(['Lean', 'Table'])
  expect(names(SKILLS)).toEqual(['Table', 'Lean', 'Arch'])
})

test('a family is asked for by its name', () => {
  expect(families(SKILLS)).toEqual(['Planks', 'Leans'])
  const { tried, untried } = bySkill(CLASS, { family: 'Planks', order: 'teaching' })
  expect([names(tried), untried]).toEqual([['Table'], ['Arch']])
})

test('children stand in the order of the class, whatever they can do', () => {
  const [table, lean] = bySkill(CLASS, { family: '', order: 'teaching' }).tried
  expect(names(table!.roles[0]!.children)).toEqual(['Amara', 'Þóra'])
  expect(table!.roles[0]!.others).toEqual(['Bao'])
  expect(lean!.roles.map(({ role, children, others }) => [role, names(children), others])).toEqual([
    ['base', [], ['Amara', 'Bao', 'Þóra']],
    ['flyer', ['Bao'], ['Amara', 'Þóra']],
  ])
})

test('what went is told child by child', () => {
  const went = (id: string, says: string) => ({
    student: { id, name: id },
    skill: says,
    name: says,
    role: 'solo' as const,
    before: 'no_spot' as const,
    now: 'hands_near' as const,
    tried: false,
    says,
  })
  const rows = [went('Amara', 'arch'), went('Bao', 'lean'), went('Bao', 'table')]
  expect(wentByChild(rows)).toEqual([
    { id: 'Amara', name: 'Amara', says: ['arch'] },
    { id: 'Bao', name: 'Bao', says: ['lean', 'table'] },
  ])
})

const TERMS = [
  { id: '1', name: 'spring', first: '2026-01-12', last: '2026-05-29' },
  { id: '2', name: 'autumn', first: '2026-08-17', last: '2026-12-29' },
  { id: '3', name: 'next', first: '2027-01-11', last: '2027-05-28' },
]

test('a term that has begun may be chosen, and the one that is shown is found', () => {
  const found = termsOf(TERMS, { first: '2026-08-17', last: '2026-12-29' }, '2026-11-26')
  expect(found).toEqual({
    options: [
      { value: '1', text: 'spring' },
      { value: '2', text: 'autumn' },
    ],
    value: '2',
  })
})

test('other days than those of a term stand for themselves', () => {
  const found = termsOf(TERMS.slice(0, 1), { first: '2025-09-01', last: '2026-01-02' }, '2026-02-01')
  expect(found.options[0]).toEqual({ value: '', text: '1 September 2025 to 2 January 2026' })
  expect(found.value).toBe('')
})

test('only what is chosen is asked for', () => {
  expect(asked(null, '')).toBe('')
  expect(asked(TERMS[0]!, 'k')).toBe('?first=2026-01-12&last=2026-05-29&class=k')
})

test('a class that she came to twice stands once', () => {
  const place = (id: string, klass: string) => ({
    id,
    class: klass,
    class_name: klass,
    from: '2026-08-17',
    until: null,
    trial: false,
  })
  expect(classesOf([place('1', 'a'), place('2', 'b'), place('3', 'a')])).toEqual([
    { value: 'a', text: 'a' },
    { value: 'b', text: 'b' },
  ])
})
