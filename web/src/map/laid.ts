/** A class or a child laid over the map: for each card patterns, and the same in words. */
import type { components } from '../api/schema'
import { atDesk } from '../words/at-desk'

type Schemas = components['schemas']
export type StudentMap = Schemas['StudentMap']
export type ClassMap = Schemas['ClassMap']
type Role = Schemas['ChildRole']['role']

/** From nothing drawn to a filled one; `cross` stands apart. */
export const PATTERNS = ['empty', 'dots', 'lines', 'full', 'cross'] as const
export type Pattern = (typeof PATTERNS)[number]

export interface LaidRole {
  readonly role: Role
  readonly pattern: Pattern
  /** The word of its pattern, for the card. */
  readonly word: string
  /** What is told beside it where there is room; empty: nothing. */
  readonly more: string
  /** A sentence, for its sheet. */
  readonly says: string
}

export interface Laid {
  /** By the key of a card, in the order of its roles. */
  readonly of: ReadonlyMap<string, readonly LaidRole[]>
  readonly legend: readonly { readonly pattern: Pattern; readonly text: string }[]
}

const said = atDesk.map

export function laidStudent({ skills }: Pick<StudentMap, 'skills'>): Laid {
  const drawn = {
    goes_on: 'lines',
    by_herself: 'full',
    may_begin: 'dots',
    missing: 'empty',
    not_for_now: 'cross',
  } as const
  const standing = ({ stands, help }: Schemas['ChildRole']) =>
    stands === 'goes_on' && help === 'no_spot' ? 'by_herself' : stands
  return {
    of: byKey(skills, (one) => ({
      role: one.role,
      pattern: drawn[standing(one)],
      word: said.stands[standing(one)],
      more: '',
      says: one.says,
    })),
    legend: legendOf(drawn, said.standsLong),
  }
}

export function laidClass({ skills }: Pick<ClassMap, 'skills'>): Laid {
  const drawn = { nobody: 'empty', some: 'dots', most: 'lines', everybody: 'full' } as const
  return {
    of: byKey(skills, ({ role, begun, may_begin, says }) => ({
      role,
      pattern: drawn[begun],
      word: said.begun[begun],
      more: said.mayBegin(may_begin),
      says,
    })),
    legend: legendOf(drawn, said.begunLong),
  }
}

/** The words of all roles, once where all of them say the same: then there is room for more. */
export function wordsOf(roles: readonly LaidRole[]): string {
  const [first, ...others] = roles
  if (!first) return ''
  if (others.every((one) => one.word === first.word && one.more === first.more)) {
    return [first.word, first.more].filter(Boolean).join(', ')
  }
  return roles.map(({ role, word }) => said.asRole(role, word)).join('; ')
}

/** What is told of each role, with its name where there are several. */
export function sentencesOf(roles: readonly LaidRole[]): string[] {
  return roles.map(({ role, says }) => (roles.length > 1 ? said.asRole(role, says) : says))
}

function byKey<R>(
  skills: readonly { readonly skill: string; readonly roles: readonly R[] }[],
  role: (one: R) => LaidRole,
): Laid['of'] {
  return new Map(skills.map((one) => [one.skill, one.roles.map(role)]))
}

function legendOf<K extends string>(
  drawn: Readonly<Record<K, Pattern>>,
  texts: Readonly<Record<K, string>>,
): Laid['legend'] {
  return (Object.keys(drawn) as K[])
    .map((key) => ({ pattern: drawn[key], text: texts[key] }))
    .sort((one, other) => PATTERNS.indexOf(one.pattern) - PATTERNS.indexOf(other.pattern))
}
