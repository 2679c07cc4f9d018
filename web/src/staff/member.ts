/** One of the staff, as a form holds her and as the API takes her. */
import type { components } from '../api/schema'
import { filled } from '../desk/said'
import { localDate, longDate } from '../parts/when'
import { atDesk } from '../words/at-desk'
import { standing } from './standing'

type Schemas = components['schemas']
export type Member = Schemas['Member']
export type MemberList = Schemas['MemberList']
export type Studio = Schemas['Studio']
export type Role = Member['role']
type Change = Required<Schemas['PatchedMemberChange']>

export const ROLES: readonly Role[] = ['head_teacher', 'teacher', 'assistant']
export const EVERYTHING = 'all'

export interface Fields {
  role: Role
  adult: boolean
  studios: string[]
  spots: 'none' | 'some' | 'all'
  /** The keys of the families, where she may spot some. */
  families: string[]
  /** Days, empty where they are open. */
  from: string
  until: string
}

export function fieldsOf(member: Member | null, studios: readonly Studio[]): Fields {
  const all = studios.map((one) => one.id)
  if (!member) {
    return {
      role: 'teacher',
      adult: true,
      // With one studio nobody needs to meet the word.
      studios: all.length === 1 ? all : [],
      spots: 'none',
      families: [],
      from: '',
      until: '',
    }
  }
  const { role, adult, may_spot, from_date, until } = member
  const everything = may_spot.includes(EVERYTHING)
  return {
    role,
    adult,
    studios: [...member.studios].sort(),
    spots: everything ? 'all' : may_spot.length ? 'some' : 'none',
    families: everything ? [] : [...may_spot].sort(),
    from: from_date ?? '',
    until: until ?? '',
  }
}

/** A head teacher’s role holds at every studio: none is said of her. */
export function saidOf(fields: Fields): Omit<Change, 'studios'> & Partial<Pick<Change, 'studios'>> {
  const { role, families, spots, from, until } = fields
  const adult = role === 'assistant' ? fields.adult : true
  const some = spots === 'some' ? [...families].sort() : []
  return {
    role,
    adult,
    may_spot: !adult ? [] : spots === 'all' ? [EVERYTHING] : some,
    from_date: filled(from),
    until: filled(until),
    ...(role === 'head_teacher' ? {} : { studios: [...fields.studios].sort() }),
  }
}

/** What a sign-in link opens; what stands after the # reaches no server and no log. */
export function linkOf(origin: string, secret: string): string {
  return `${origin}/invitation#${secret}`
}

export function spotsSaid({ may_spot }: Member): string {
  const said = atDesk.staff
  if (may_spot.includes(EVERYTHING)) return said.spots.all
  return may_spot.length ? said.families(may_spot.length) : said.spots.none
}

export function studiosSaid({ role, studios }: Member, all: readonly Studio[]): string {
  if (role === 'head_teacher') return atDesk.staff.everywhere
  return all
    .filter((one) => studios.includes(one.id))
    .map((one) => one.name)
    .join(', ')
}

export function accessSaid(member: Member, today: string): string {
  const said = atDesk.staff.accessOf
  switch (standing(member, today)) {
    case 'revoked':
      return said.revoked(longDate(localDate(Date.parse(member.revoked_at!))))
    case 'ended':
      return said.ended(longDate(member.until!))
    case 'later':
      return said.later(longDate(member.from_date!))
    default:
      return member.until ? said.until(longDate(member.until)) : said.holds
  }
}
