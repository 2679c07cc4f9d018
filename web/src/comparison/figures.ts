/** The figures of one studio in words: what is not known fairly is left out, never nought. */
import type { components } from '../api/schema'
import { atDesk } from '../words/at-desk'

export type Studio = components['schemas']['ComparedStudio']

export function figuresOf({ logging, strictness, reached }: Studio): [name: string, said: string][] {
  const said = atDesk.comparison
  const { percent, between } = said
  const within = (at: number | null, low: number | null, high: number | null) =>
    at === null || low === null || high === null
      ? ''
      : between(percent(at), percent(low), percent(high))
  const { with_entries: entries, tries_for_each: each, at_once } = logging
  return [
    [said.entries, entries ? within(entries.share, entries.low, entries.high) : ''],
    [said.each, each === null ? '' : each.toFixed(1)],
    [said.atOnce, at_once === null ? '' : percent(at_once)],
    ...logging.by_spot.map(({ spot, clean }): [string, string] => [
      said.clean[spot],
      clean === null ? '' : percent(clean),
    ]),
    [said.strictness, within(strictness.clean, strictness.low, strictness.high)],
    [said.noSpot, within(reached.share, reached.low, reached.high)],
    [said.own, reached.own === null ? '' : percent(reached.own)],
  ]
}
