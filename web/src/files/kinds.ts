/** The files that may be loaded at the desk: where each goes, and what it needs beside the file. */
import type { Method } from '../api/client'
import type { atDesk } from '../words/at-desk'

export interface Kind {
  readonly name: keyof typeof atDesk.files.kinds
  readonly method: Method
  /** Where it is sent; `{class}` stands for the class that is chosen. */
  readonly path: string
  /** The columns that are named, as the example of the format has them; none of no table. */
  readonly columns: readonly string[]
  readonly heads?: boolean
  /** Whether it is of one class, which has to be said or (`may`) can be. */
  readonly klass?: 'must' | 'may'
  /** Whether the day has to be said on which all of it was so. */
  readonly on?: boolean
  /** Whether rows may be asked about. */
  readonly rows?: boolean
}

export interface Chosen {
  readonly klass: string
  readonly on: string
  /** Numbers of rows that are as meant, such as “3, 7”. */
  readonly rows: string
  /** Whether she has answered what the server asked about the whole. */
  readonly confirmed: boolean
}

const columns = (names: string) => names.split(' ')

export const KINDS: readonly Kind[] = [
  { name: 'timetable', method: 'PUT', path: 'timetable', columns: [], heads: true },
  {
    name: 'staff',
    method: 'POST',
    path: 'staff/file',
    columns: columns('name role adult studios may_spot from until'),
    heads: true,
  },
  {
    name: 'roster',
    method: 'POST',
    path: 'classes/{class}/roster',
    columns: columns(
      'given_name initial birth height_cm height_on joined trial agreed_hands_on agreed_lifting note',
    ),
    klass: 'must',
    rows: true,
  },
  {
    name: 'seen_before',
    method: 'POST',
    path: 'files/seen-before',
    columns: columns('student'),
    klass: 'must',
    on: true,
  },
  {
    name: 'attempts',
    method: 'POST',
    path: 'files/attempts',
    columns: columns(
      'date time student skill role spot outcome measure weight try attempt revision way_in ' +
        'way_out surface by',
    ),
    klass: 'must',
  },
  {
    name: 'attendance',
    method: 'POST',
    path: 'files/attendance',
    columns: columns('date student state revision'),
    klass: 'must',
  },
  {
    name: 'agreements',
    method: 'POST',
    path: 'files/agreements',
    columns: columns('student kind agreed_on withdrawn_on'),
  },
  {
    name: 'restrictions',
    method: 'POST',
    path: 'files/restrictions',
    columns: columns('student blocks from until'),
  },
  {
    name: 'yeses',
    method: 'POST',
    path: 'files/yeses',
    columns: columns('student skill role kind given_on tonight by'),
    klass: 'may',
  },
  {
    name: 'pair_checks',
    method: 'POST',
    path: 'files/pair-checks',
    columns: columns('base flyer given_on tonight'),
    klass: 'may',
  },
  {
    name: 'wishes',
    method: 'POST',
    path: 'files/wishes',
    columns: columns('a b kind from until'),
  },
  {
    name: 'falls',
    method: 'POST',
    path: 'files/falls',
    columns: columns('date student skill role number kind phase done looked_at_on looked_at_by'),
  },
]

/** What a file picker offers first. */
export function accepts({ columns }: Kind): string {
  return columns.length ? '.csv,.txt,.xlsx' : '.yaml,.yml'
}

/** What the server is told that a file is. */
export function typeOf({ columns }: Kind, name: string): string {
  if (!columns.length) return 'application/yaml'
  return name.toLowerCase().endsWith('.xlsx')
    ? 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet'
    : 'text/csv'
}

/** Where a file goes, with what was chosen beside it. */
export function address(kind: Kind, chosen: Chosen, dry_run: boolean): string {
  const { klass, on, rows, confirmed } = chosen
  const inPath = kind.path.includes('{class}')
  const asked = new URLSearchParams({
    ...(kind.klass && !inPath && klass && { class: klass }),
    ...(kind.on && on && { on }),
    ...(kind.rows && rows.trim() && { confirm: rows.trim().split(/[\s,;]+/).join(',') }),
    ...(confirmed && { confirmed: 'true' }),
    ...(dry_run && { dry_run: 'true' }),
  }).toString()
  return `/api/v1/${kind.path.replace('{class}', klass)}${asked && `?${asked}`}`
}
