/** What is said of editions, drafts and what was found in them. */
import type { components } from '../api/schema'
import { localDate, longDate } from '../parts/when'
import { atDesk } from '../words/at-desk'

type Schemas = components['schemas']
export type Edition = Schemas['Edition']
export type Studio = Schemas['Studio']
export interface Finding {
  readonly skill: string | null
  readonly pointer: string
  readonly detail: string
}

const said = atDesk.curriculum

/** What a studio's first edition is stored with, so that earlier tries count. */
const START = '2000-01-01'

/** The day from which an edition is in use; null says from the start. */
export function dayTaken(from_date: string): string | null {
  return from_date === START ? null : longDate(from_date)
}

/** Where an edition is in use since when; of the only studio no name is said. */
export function inUseSaid({ in_use }: Edition, studios: readonly Studio[]): string[] {
  return atStudios(in_use, studios).map(([studio, { from_date }]) =>
    studios.length === 1
      ? said.everywhere(dayTaken(from_date))
      : said.at(studio.name, dayTaken(from_date)),
  )
}

export function heldBackSaid({ held_back }: Edition, studios: readonly Studio[]): string[] {
  return atStudios(held_back, studios).map(([studio, { from_date, reason }]) =>
    said.heldAt(studio.name, longDate(from_date), reason),
  )
}

export function withdrawnSaid({ withdrawn }: Edition): string {
  return withdrawn
    ? said.withdrawnFor(longDate(localDate(Date.parse(withdrawn.at))), withdrawn.reason)
    : ''
}

function atStudios<T extends { readonly studio: string }>(
  rows: readonly T[],
  studios: readonly Studio[],
): [Studio, T][] {
  return studios.flatMap((studio) =>
    rows.filter((row) => row.studio === studio.id).map((row): [Studio, T] => [studio, row]),
  )
}

/** A finding of a whole draft, with the card that its pointer leads into. */
export function placed({ pointer, detail }: Schemas['Finding']): Finding {
  const [, skill, inside] = /^\/skills\/([^/]+)(.*)$/.exec(pointer) ?? []
  return { skill: skill ?? null, pointer: inside ?? pointer, detail }
}
