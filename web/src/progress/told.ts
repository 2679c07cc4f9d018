/** The same as a picture tells, in words: beside it, and as rows of a table. */
import { longDate, shortDate } from '../parts/when'
import { atDesk } from '../words/at-desk'
import { words } from '../words/words'
import type { Days, Picture, Reading, SkillPath, Try } from './picture'

export interface Row {
  readonly key: string
  readonly when: string
  readonly says: string
  readonly tries: string
  /** How likely no spot is needed. */
  readonly likely: string
}

const said = atDesk.progress

/** How it stands as the days end. */
export function nowSaid({ at_last: { on, says } }: SkillPath): string {
  return said.on(shortDate(on), says)
}

/** How it stood as they began, or when it was begun. */
export function begunSaid({ at_first, evenings }: SkillPath): string {
  if (at_first) return said.on(shortDate(at_first.on), at_first.says)
  const begun = evenings[0]?.reading.on
  return begun ? said.begun(shortDate(begun)) : ''
}

/** All that stands in a picture. */
export function pictured({ steps, evenings }: Picture, days: Days): string {
  const tries = evenings.reduce((sum, one) => sum + one.tries.length, 0)
  return said.pictured(
    daysSaid(days),
    steps.map(({ help, since }) => said.since(said.help[help], shortDate(since))),
    said.tried(tries, evenings.length),
  )
}

/** The tries of an evening, those that say the same together. */
export function triesSaid(tries: readonly Try[], habit: boolean): string {
  const counts = new Map<string, number>()
  for (const one of tries) {
    const text = trySaid(one, habit)
    counts.set(text, (counts.get(text) ?? 0) + 1)
  }
  return said.list([...counts].map(([text, count]) => (count > 1 ? said.times(count, text) : text)))
}

function trySaid({ outcome, spot, weight, logged_as }: Try, habit: boolean): string {
  return said.parts([
    words.shell.outcome[outcome],
    ...(habit ? [] : [words.shell.spot[spot]]),
    ...(weight === 'own' ? [] : [said.weight[weight]]),
    ...(logged_as ? [said.loggedAs(logged_as)] : []),
  ])
}

/** The days from the first evening to the last reading, as rows of a table. */
export function rows({ at_first, evenings, at_last, habit }: SkillPath): Row[] {
  const row = (key: string, when: string, { says, word, percent }: Reading, tries: string): Row => ({
    key,
    when,
    says,
    tries,
    likely: percent === null ? word : said.likely(word, percent),
  })
  return [
    ...(at_first ? [row('first', said.before(shortDate(at_first.on)), at_first, '')] : []),
    ...evenings.map(({ reading, tries }) =>
      row(reading.on, shortDate(reading.on), reading, triesSaid(tries, habit)),
    ),
    row('last', said.after(shortDate(at_last.on)), at_last, ''),
  ]
}

export function daysSaid({ first, last }: Days): string {
  const year = (day: string) => day.slice(0, 4)
  return said.days(year(first) === year(last) ? shortDate(first) : longDate(first), longDate(last))
}
