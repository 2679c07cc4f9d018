/** A part of a card as lines of text, to be read beside another. */
import { atDesk } from '../words/at-desk'
import { partSaid } from './place'

const said = atDesk.draftCard

/** `name`: how a skill is called. */
export function linesOf(value: unknown, name: (skill: string) => string): string {
  return value === undefined ? said.absent : lines(value, name).join('\n')
}

function lines(value: unknown, name: (skill: string) => string): string[] {
  if (typeof value === 'boolean') return [value ? said.yes : said.no]
  if (Array.isArray(value)) {
    if (value.every((item) => typeof item === 'number')) return [value.join(' / ')]
    return value.flatMap((item) => {
      const [first = '', ...rest] = lines(item, name)
      return [`– ${first}`, ...rest.map((line) => `  ${line}`)]
    })
  }
  if (typeof value !== 'object' || value === null) return [String(value)]
  return Object.entries(value).flatMap(([key, part]: [string, unknown]) => {
    const [first = '', ...rest] =
      key === 'skill' && typeof part === 'string' ? [name(part)] : lines(part, name)
    const within = typeof part === 'object' && part !== null
    if (!within) return [`${partSaid(key)}: ${first}`, ...rest]
    return [`${partSaid(key)}:`, ...[first, ...rest].filter(Boolean).map((line) => `  ${line}`)]
  })
}
