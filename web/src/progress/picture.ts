/** A child's path in one skill and role as lines and marks; what stands along it is in per cent. */
import type { components } from '../api/schema'

type Schemas = components['schemas']
export type Path = Schemas['Path']
export type SkillPath = Schemas['PathSkill']
export type Try = Schemas['PathTry']
export type Reading = Schemas['Reading']
export type Help = NonNullable<Reading['help']>

/** From the top of a picture: the less help, the higher. */
export const LEVELS: readonly Help[] = ['no_spot', 'hands_near', 'hands_on', 'not_yet']

/** The days that a picture is of. */
export interface Days {
  readonly first: string
  readonly last: string
}

/** While the same help was needed. */
export interface Step {
  readonly help: Help
  readonly since: string
  readonly from: number
  readonly to: number
}

/** From when on another help was needed. */
export interface Turn {
  readonly at: number
  readonly before: Help
  readonly after: Help
}

export interface Evening {
  readonly on: string
  readonly at: number
  readonly says: string
  /** Oldest first. */
  readonly tries: readonly Try[]
}

/** Of a habit, which nobody spots, there are evenings alone. */
export interface Picture {
  readonly steps: readonly Step[]
  readonly turns: readonly Turn[]
  readonly evenings: readonly Evening[]
  /** How many tries the evening with the most of them has. */
  readonly most: number
}

/** Where a day stands among others, in per cent of the way from the first to the last. */
export function along(day: string, { first, last }: Days): number {
  const [begin, end, at] = [first, last, day].map((one) => Date.parse(one)) as [number, number, number]
  return end > begin ? (100 * (at - begin)) / (end - begin) : 0
}

/** What each evening has left holds until the next one, the last until the last reading. */
export function picture({ at_first, evenings, at_last }: SkillPath, days: Days): Picture {
  const steps: { help: Help; since: string; from: number; to: number }[] = []
  for (const reading of [at_first, ...evenings.map((one) => one.reading), at_last]) {
    if (!reading?.help) continue
    const at = along(reading.on, days)
    const before = steps.at(-1)
    if (before) before.to = at
    if (before?.help === reading.help) continue
    steps.push({ help: reading.help, since: reading.on, from: at, to: at })
  }
  return {
    steps,
    turns: steps.slice(1).map(({ from, help }, place) => ({
      at: from,
      before: steps[place]!.help,
      after: help,
    })),
    evenings: evenings.map(({ reading: { on, says }, tries }) => ({
      on,
      at: along(on, days),
      says,
      tries,
    })),
    most: Math.max(0, ...evenings.map((one) => one.tries.length)),
  }
}
