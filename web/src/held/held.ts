/** Tries that wait for a head teacher, in words and by who logged them. */
import type { components } from '../api/schema'
import { longDate } from '../parts/when'
import { tried, why } from '../rows/told'
import type { Bodies } from '../store/row'
import { atDesk } from '../words/at-desk'

export type Held = components['schemas']['Held']
export type Answer = components['schemas']['AttemptAnswer']

const said = atDesk.held

export interface Of {
  readonly member: string
  readonly name: string
  readonly rows: readonly Held[]
}

/** By who logged them, the first received first; hers by day, child and skill. */
export function byMember(rows: readonly Held[]): Of[] {
  const found = new Map<string, Of & { rows: Held[] }>()
  for (const row of rows) {
    const one = found.get(row.member)
    if (one) one.rows.push(row)
    else found.set(row.member, { member: row.member, name: row.member_name, rows: [row] })
  }
  for (const { rows } of found.values()) {
    rows.sort((one, other) => places(one).localeCompare(places(other), 'en'))
  }
  return [...found.values()]
}

const places = (one: Held) => [one.on ?? '', whoSaid(one), skillSaid(one)].join('\n')

export function whoSaid({ student_name }: Held): string {
  return student_name ?? said.nobody
}

export function skillSaid({ skill_name }: Held): string {
  return skill_name ?? said.noSkill
}

export function daySaid({ on }: Held): string {
  return on ? longDate(on) : ''
}

/** What was logged; nothing where the row cannot be read. */
export function tryOf({ row, on }: Held): string {
  return on ? tried(row as unknown as Bodies['attempts']) : said.unreadable
}

/** Why one was not admitted, with what it is; null where it was. */
export function notAdmitted(one: Held, { status, code, pointer }: Answer): string | null {
  if (status !== 'refused') return null
  return said.not(whoSaid(one), skillSaid(one), why({ code: code ?? null, pointer: pointer ?? null }))
}
