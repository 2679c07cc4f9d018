/** The committed cases, as the engine answers them (`tests/regroup/test_cases.py`). */

import { readFileSync } from 'node:fs'
import type { Formed, PairTable, Tonight, Worth } from '../tonight'

export interface Case {
  readonly name: string
  readonly card: Tonight['card']
  readonly table: PairTable
  readonly listed: readonly string[]
  readonly here: readonly string[]
  readonly not_today: readonly string[]
  readonly adults: number | null
  readonly mats: number | null
  readonly before: readonly Formed[]
  readonly best: Worth
  readonly comparable: readonly (keyof Worth)[]
  readonly reasons: Readonly<Record<string, string>>
  /** Of groups that stood; null where the table stops what the service asks, or says less. */
  readonly checked: {
    readonly stops: readonly string[]
    readonly groups: readonly {
      readonly stops: readonly string[]
      readonly asks: readonly string[]
      readonly turn: number
    }[]
    /** After the least change; null where nothing changes. */
    readonly kept: number | null
    readonly late: {
      readonly child: string
      /** Null: she has no place. */
      readonly kept: number | null
      /** Null: there may be other answers that are as good. */
      readonly groups: readonly Formed['seats'][] | null
    } | null
  } | null
}

export const cases = JSON.parse(
  readFileSync(new URL('cases.json', import.meta.url), 'utf8'),
) as Case[]

export const tonightOf = (one: Case): Tonight => ({
  table: one.table,
  card: one.card,
  here: one.here,
  notToday: one.not_today,
  names: new Map(one.listed.map((name) => [name, name])),
  adults: one.adults ?? undefined,
  mats: one.mats ?? undefined,
  assistant: false,
})
