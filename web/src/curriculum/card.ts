/**
 * A card of curriculum/1 as a form writes it: the document itself, changed one place at a time. So
 * what the form does not show, and what nobody touches, stays as it was to the letter.
 */

import { figure } from '../desk/said'

/** A value of JSON; what is typed and no number yet stands as its text. */
export type Value = unknown
export type Doc = Readonly<Record<string, Value>>
export type Path = readonly (string | number)[]

const isObject = (value: Value): value is Doc =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

/** What stands at a place; undefined where nothing does. */
export function at(doc: Doc, path: Path): Value {
  let found: Value = doc
  for (const key of path) {
    if (typeof found !== 'object' || found === null || !Object.hasOwn(found, key)) return undefined
    found = (found as Record<string | number, Value>)[key]
  }
  return found
}

/** With another value at a place; undefined takes it out, and what is empty without it. */
export function put(doc: Doc, path: Path, value: Value): Doc {
  return (placed(doc, path, value, []) ?? {}) as Doc
}

function placed(here: Value, path: Path, value: Value, above: Path): Value {
  const [key, ...rest] = path
  if (key === undefined) return value
  const before = at((here ?? {}) as Doc, [key])
  const after = placed(before, rest, value, [...above, key])
  if (before === after) return here
  if (typeof key === 'number') {
    const list = Array.isArray(here) ? [...here] : []
    if (after === undefined) list.splice(key, 1)
    else list[key] = after
    return list.length ? list : undefined
  }
  const object = isObject(here) ? here : {}
  if (after !== undefined) return { ...object, [key]: after }
  const { [key]: _, ...others } = object
  return Object.keys(others).length || keptEmpty(above) ? others : undefined
}

/** The card itself, its roles, and a role of which nothing is said: each says something. */
function keptEmpty(path: Path): boolean {
  return path.length === 0 || (path[0] === 'roles' && path.length <= 2)
}

/** With the item of a list one place further up. */
export function moved(doc: Doc, path: Path, index: number): Doc {
  const list = at(doc, path)
  if (!Array.isArray(list) || index < 1 || index >= list.length) return doc
  const now: Value[] = [...list]
  now.splice(index - 1, 2, list[index], list[index - 1])
  return put(doc, path, now)
}

/**
 * What is written of one angle, or of two with a stroke between; undefined where nothing is. What is
 * no number goes as it was written.
 */
export function sides(text: string): Value {
  const parts = text.split('/').map(figure)
  const two = parts.length === 2 && parts.every((part) => typeof part === 'number')
  return two ? parts : (figure(text) ?? undefined)
}

/** With another name for a member of an object, in its place. */
export function renamed(doc: Doc, from: string, to: string): Doc {
  return Object.fromEntries(Object.entries(doc).map(([key, said]) => [key === from ? to : key, said]))
}

export const pointer = (path: Path): string => path.map((key) => `/${key}`).join('')

/** Whether two values say the same; the order of an object's members says nothing. */
export function same(one: Value, other: Value): boolean {
  if (one === other) return true
  if (Array.isArray(one) && Array.isArray(other)) {
    return one.length === other.length && one.every((item, place) => same(item, other[place]))
  }
  if (!isObject(one) || !isObject(other)) return false
  const keys = Object.keys(one)
  return (
    keys.length === Object.keys(other).length &&
    keys.every((key) => Object.hasOwn(other, key) && same(one[key], other[key]))
  )
}

/** Her card with the parts that she has not touched since `base` as they stand now. */
export function carried(base: Doc, mine: Doc, theirs: Doc): Doc {
  const keys = new Set([...Object.keys(mine), ...Object.keys(theirs)])
  const parts = [...keys].map((key) => [key, (same(mine[key], base[key]) ? theirs : mine)[key]])
  return Object.fromEntries(parts.filter(([, value]) => value !== undefined)) as Doc
}

/** The parts that two cards say differently, in the order of the first. */
export function differing(mine: Doc, theirs: Doc): string[] {
  const keys = new Set([...Object.keys(mine), ...Object.keys(theirs)])
  return [...keys].filter((key) => !same(mine[key], theirs[key]))
}
