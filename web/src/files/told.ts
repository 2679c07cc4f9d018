/** What a loader did or would do, and what is wrong in a file, in words. */
import { atDesk } from '../words/at-desk'

/** The answers of all loaders: names where it is few, else how many. */
export interface Loaded {
  readonly mapping?: string
  readonly new: number | readonly string[]
  readonly changed: number | readonly string[]
  readonly standing: number
  readonly absent?: readonly string[]
  readonly remarks?: readonly string[]
  readonly adopted?: readonly string[]
  readonly lessons?: number
}

export interface Line {
  readonly text: string
  readonly names: readonly string[]
}

const said = atDesk.files

/** Line by line; what there is none of is left out. */
export function told(loaded: Loaded): Line[] {
  const of = (words: (many: number) => string, what: number | readonly string[] = 0): Line[] => {
    const names = typeof what === 'number' ? [] : what
    const many = typeof what === 'number' ? what : what.length
    return many ? [{ text: words(many), names }] : []
  }
  return [
    ...(loaded.mapping ? [{ text: said.mapping(loaded.mapping), names: [] }] : []),
    ...of(said.new, loaded.new),
    ...of(said.changed, loaded.changed),
    ...of(said.standing, loaded.standing),
    ...of(said.lessons, loaded.lessons),
    ...of(said.adopted, loaded.adopted),
    ...of(said.absent, loaded.absent),
    ...of(said.remarks, loaded.remarks),
  ]
}

export interface Wrong {
  /** Of what is said beside the file. */
  readonly parameter?: string
  readonly pointer?: string
  readonly detail?: string
}

/** A fault with its place; a table's says its row and column itself. */
export function wrongSaid({ pointer = '', detail = '' }: Wrong): string {
  const place = pointer
    .split('/')
    .slice(1)
    .map((part) => (/^\d+$/.test(part) ? said.entry(Number(part) + 1) : part))
  return place.length ? `${place.join(', ')}: ${detail}` : detail
}
