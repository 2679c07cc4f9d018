/** The skills of a draft, as they are chosen from. */
import type { Doc } from './card'

export interface Skills {
  /** By family in teaching order; those of no family last. */
  readonly families: readonly {
    readonly key: string
    readonly name: string | null
    readonly skills: readonly { readonly key: string; readonly name: string }[]
  }[]
  /** The first in teaching order. */
  readonly first: string
  readonly name: (key: string) => string
  readonly has: (key: string) => boolean
  readonly roles: (key: string) => readonly string[]
}

/** With those that have no card any more, which some card may carry on. */
export function withBefore(
  skills: Skills,
  before: readonly { readonly skill: string; readonly name: string }[],
  name: string,
): Skills {
  if (!before.length) return skills
  const names = new Map(before.map((one) => [one.skill, one.name]))
  const rows = before.map(({ skill, name }) => ({ key: skill, name }))
  return {
    ...skills,
    families: [...skills.families, { key: 'taught before', name, skills: rows }],
    name: (key) => names.get(key) ?? skills.name(key),
    has: (key) => names.has(key) || skills.has(key),
  }
}

export interface DraftDocument {
  readonly families: Readonly<Record<string, string>>
  readonly skills: Readonly<Record<string, Doc>>
}

export function skillsOf(document: DraftDocument): Skills {
  const { families, skills } = document
  const of = (own: (family: unknown) => boolean) =>
    Object.entries(skills)
      .filter(([, card]) => own(card.family))
      .map(([key, card]) => ({ key, name: String(card.name) }))
  const named = Object.entries(families).map(([key, name]) => ({
    key,
    name: name as string | null,
    skills: of((family) => family === key),
  }))
  const rest = of((family) => !Object.hasOwn(families, String(family)))
  const card = (key: string): Doc | undefined =>
    Object.hasOwn(skills, key) ? skills[key] : undefined
  return {
    families: rest.length ? [...named, { key: '', name: null, skills: rest }] : named,
    first: Object.keys(skills)[0] ?? '',
    name: (key) => String(card(key)?.name ?? key),
    has: (key) => card(key) !== undefined,
    roles: (key) => Object.keys((card(key)?.roles ?? {}) as object),
  }
}
