/** Where something is wrong in a card or a draft, in words. */
import { atDesk } from '../words/at-desk'
import { words } from '../words/words'

const said = atDesk.draftCard

/** What a key of the format is called; a key that somebody chose stays as it is. */
export function partSaid(key: string): string {
  const of = (all: Readonly<Record<string, string>>) => (Object.hasOwn(all, key) ? all[key] : null)
  return of(said.parts) ?? of(words.shell.role) ?? of(said.pose.points) ?? key
}

/** The parts of a JSON pointer, an index with what it counts; empty for the whole. */
export function placeSaid(pointer: string): string {
  const parts: string[] = []
  for (const key of pointer.split('/').slice(1)) {
    const last = parts.at(-1)
    if (/^\d+$/.test(key) && last !== undefined) parts[parts.length - 1] = said.nth(last, Number(key) + 1)
    else parts.push(partSaid(key))
  }
  return said.place(parts)
}
