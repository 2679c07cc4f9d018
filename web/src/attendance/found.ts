/** Children of other classes who may visit tonight, by a piece of their name. */
import { byName } from '../lesson/tonight'

interface Person {
  readonly id: string
  readonly name: string
}

const MOST = 8

/** Alphabetical, without those who are on tonight's list, at most eight. */
export function found<P extends Person>(
  people: readonly P[],
  tonight: readonly Person[],
  search: string,
): P[] {
  const known = new Set(tonight.map((one) => one.id))
  const wanted = plain(search)
  return people
    .filter((one) => !known.has(one.id) && plain(one.name).includes(wanted))
    .sort(byName)
    .slice(0, MOST)
}

/** Without accents and capitals: she is found by how a hurried thumb writes her. */
function plain(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLocaleLowerCase('en').trim()
}
