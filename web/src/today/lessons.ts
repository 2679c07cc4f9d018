/** Which lessons a phone asks for, and which of them are today's. */
import { daysAfter, localDate } from '../parts/when'
import type { components } from '../api/schema'

export type Lesson = components['schemas']['Lesson']

const DAYS_BACK = 7
const DAYS_AHEAD = 27

/**
 * The addresses under which the lessons of a day are found: of the window around this week, then
 * of last week's, which a phone that was not opened since still has.
 */
export function windows(today: string): [string, string] {
  const weekday = (new Date(`${today}T00:00:00Z`).getUTCDay() + 6) % 7
  const monday = daysAfter(today, -weekday)
  return [address(monday), address(daysAfter(monday, -7))]
}

function address(monday: string): string {
  const [first, last] = [daysAfter(monday, -DAYS_BACK), daysAfter(monday, DAYS_AHEAD)]
  return `/api/v1/lessons?first=${first}&last=${last}`
}

interface Sorted {
  readonly today: Lesson[]
  /** Of the next two weeks. */
  readonly coming: Lesson[]
  /** That took place in the last seven days, the latest first. */
  readonly earlier: Lesson[]
}

/** By the day that it is at the studio of each, and in order of time. */
export function sorted(rows: readonly Lesson[], now: number): Sorted {
  const zones = new Set(rows.map((one) => one.studio.zone))
  const days = new Map([...zones].map((zone) => [zone, localDate(now, zone)]))
  const found: Sorted = { today: [], coming: [], earlier: [] }
  for (const one of rows) {
    const today = days.get(one.studio.zone)!
    if (one.on === today) found.today.push(one)
    else if (one.on > today && one.on <= daysAfter(today, 14)) found.coming.push(one)
    else if (one.on < today && one.on >= daysAfter(today, -DAYS_BACK) && meets(one))
      found.earlier.unshift(one)
  }
  return found
}

/** What should be on this phone before there is no signal: today's, and the next day's. */
export function soon(today: readonly Lesson[], coming: readonly Lesson[]): Lesson[] {
  const next = coming.find(meets)?.on
  return [...today, ...coming.filter((one) => one.on === next)].filter(meets)
}

export function meets(lesson: Lesson): boolean {
  return lesson.closed === null && lesson.state !== 'cancelled'
}
