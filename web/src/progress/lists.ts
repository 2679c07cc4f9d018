/** A class by its skills, as lists: by name and by teaching order alone, never by ability. */
import type { components } from '../api/schema'

type Schemas = components['schemas']
export type Progress = Schemas['Progress']
type Skill = Schemas['ProgressSkill']
export type Order = 'teaching' | 'name'

export interface RoleLines {
  readonly role: Skill['roles'][number]['role']
  /** Who has tried it, in the order of the class. */
  readonly children: readonly { readonly id: string; readonly name: string; readonly says: string }[]
  /** Who has not. */
  readonly others: readonly string[]
}

export interface SkillLines {
  readonly skill: string
  readonly name: string
  readonly roles: readonly RoleLines[]
}

export interface Asked {
  /** Empty: all of them. */
  readonly family: string
  readonly order: Order
}

const byName = new Intl.Collator('en-GB')

/** Each once, in teaching order. */
export function families(skills: readonly Skill[]): string[] {
  return [...new Set(skills.map((one) => one.family))]
}

/** Skills that somebody of the class has tried, and the names of the others. */
export function bySkill(
  { children, skills }: Pick<Progress, 'children' | 'skills'>,
  { family, order }: Asked,
): { tried: SkillLines[]; untried: string[] } {
  const shown = skills.filter((one) => !family || one.family === family)
  if (order === 'name') shown.sort((one, other) => byName.compare(one.name, other.name))
  const isTried = ({ roles }: Skill) => roles.some((one) => one.children.length)
  return {
    tried: shown.filter(isTried).map(({ skill, name, roles }) => ({
      skill,
      name,
      roles: roles.map((one) => roleLines(one, children)),
    })),
    untried: shown.filter((one) => !isTried(one)).map((one) => one.name),
  }
}

function roleLines(
  { role, children: tried }: Skill['roles'][number],
  children: Progress['children'],
): RoleLines {
  const says = new Map(tried.map((one) => [one.student, one.says]))
  return {
    role,
    children: children.flatMap(({ id, name }) => {
      const told = says.get(id)
      return told === undefined ? [] : [{ id, name, says: told }]
    }),
    others: children.filter((one) => !says.has(one.id)).map((one) => one.name),
  }
}

/** What went, child by child. */
export function wentByChild(
  went: readonly Schemas['ProgressWent'][],
): { id: string; name: string; says: string[] }[] {
  const found = new Map<string, { id: string; name: string; says: string[] }>()
  for (const { student, says } of went) {
    const one = found.get(student.id)
    if (one) one.says.push(says)
    else found.set(student.id, { ...student, says: [says] })
  }
  return [...found.values()]
}
