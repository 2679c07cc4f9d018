/** Which lessons a phone asks for, and which of them are today's. */
import { daysAfter } from '../parts/when'
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

/** By day, and in order of time. */
export function sorted(rows: readonly Lesson[], today: string): Sorted {
  const [first, last] = [daysAfter(today, -DAYS_BACK), daysAfter(today, 14)]
  const earlier = rows.filter((one) => one.on >= first && one.on < today && meets(one))
  return {
    today: rows.filter((one) => one.on === today),
    coming: rows.filter((one) => one.on > today && one.on <= last),
    earlier: earlier.reverse(),
  }
}

/** What should be on this phone before there is no signal: today's, and the next day's. */
export function soon(today: readonly Lesson[], coming: readonly Lesson[]): Lesson[] {
  const next = coming.find(meets)?.on
  return [...today, ...coming.filter((one) => one.on === next)].filter(meets)
}

export function meets(lesson: Lesson): boolean {
  return lesson.closed === null && lesson.state !== 'cancelled'
}
