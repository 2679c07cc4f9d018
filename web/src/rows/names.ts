/** Names of children and skills, from what this phone has read and what was entered on it. */
import type { components } from '../api/schema'
import type { Row } from '../store/row'
import type { Store } from '../store/store'

type Schemas = components['schemas']

export interface Names {
  readonly children: ReadonlyMap<string, string>
  readonly skills: ReadonlyMap<string, { readonly key: string; readonly name: string }>
}

const STUDENTS = '/api/v1/students?limit=500'

export async function namesFor(store: Store, rows: readonly Row[]): Promise<Names> {
  const children = new Map<string, string>()
  const skills = new Map<string, { key: string; name: string }>()
  const kept = async <T>(url: string) => (await store.read(url))?.body as T | undefined
  const listed = await kept<Schemas['StudentLinePage']>(STUDENTS)
  for (const { id, name } of listed?.rows ?? []) children.set(id, name)
  for (const lesson of new Set(rows.map((row) => row.lesson))) {
    const sheet = await kept<Schemas['LessonSheet']>(`/api/v1/lessons/${lesson}/sheet`)
    for (const { id, name } of sheet?.children ?? []) children.set(id, name)
    for (const { skill_id, skill, name } of sheet?.cards ?? []) {
      skills.set(skill_id, { key: skill, name })
    }
  }
  for (const row of rows) {
    if (row.kind !== 'students' || children.has(row.body.id)) continue
    const { id, given_name, initial } = row.body
    children.set(id, initial ? `${given_name} ${initial}` : given_name)
  }
  return { children, skills }
}
