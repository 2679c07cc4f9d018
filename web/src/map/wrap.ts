/** Words in a card of the picture: SVG breaks no lines by itself. */
import { LETTER } from './geometry'

/** How wide a letter is in its own height: rather too much, as the typeface is the browser's. */
const WIDE = 0.85
const NARROW = 0.38
const USUAL = 0.63
const HEAVY = 1.1

function widthOf(text: string): number {
  let sum = 0
  for (const letter of text) {
    sum += /[iljtf.,:;'’|! -]/u.test(letter) ? NARROW : /[mw\p{Lu}@]/u.test(letter) ? WIDE : USUAL
  }
  return sum * LETTER
}

// What is left of a word that is broken is not shorter than this.
const LEAST_PART = 3

/** Lines that are at most `room` wide; a word that is wider is broken. */
export function lined(text: string, width: number, heavy = false): string[] {
  const room = heavy ? width / HEAVY : width
  const lines: string[] = []
  let line = ''
  for (const piece of text.split(/(?<=[ -])/u)) {
    if (widthOf((line + piece).trimEnd()) <= room) {
      line += piece
      continue
    }
    if (line) lines.push(line)
    line = piece
    while (widthOf(line.trimEnd()) > room && line.length > 2 * LEAST_PART) {
      let length = line.length - LEAST_PART
      while (length > LEAST_PART && widthOf(`${line.slice(0, length)}-`) > room) length--
      lines.push(`${line.slice(0, length)}-`)
      line = line.slice(length)
    }
  }
  return [...lines, line].map((one) => one.trimEnd()).filter(Boolean)
}

export interface Part {
  readonly text: string
  readonly kind: string
  /** Whether it is cut where it is too long; else it stands there whole or not at all. */
  readonly must: boolean
}

const AT_LEAST = 2

/** What of it stands in `most` lines, in the order given; each that must has two lines or more. */
export function filled<T extends Part>(
  parts: readonly T[],
  room: number,
  most: number,
): { text: string; kind: T['kind'] }[] {
  const found: { text: string; kind: T['kind'] }[] = []
  const said = parts.filter((one) => one.text)
  for (const [index, { text, kind, must }] of said.entries()) {
    const later = said.slice(index + 1).filter((one) => one.must).length * AT_LEAST
    const left = Math.max(0, most - found.length - later)
    const lines = lined(text, room, kind === 'name')
    if (lines.length <= left) found.push(...lines.map((line) => ({ text: line, kind })))
    else if (must && left) {
      const kept = lines.slice(0, left)
      kept[left - 1] = `${kept[left - 1]!.slice(0, -1).trimEnd()}…`
      found.push(...kept.map((line) => ({ text: line, kind })))
    }
  }
  return found
}
