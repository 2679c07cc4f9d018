/** Which lessons a phone asks for, and which of them are today's. */
import { daysAfter } from '../parts/when'
import type { components } from '../api/schema'

export type Lesson = components['schemas']['Lesson']

const WINDOW_DAYS = 27

/**
 * The addresses under which the lessons of a day are found: of the window that begins this week,
 * then of last week's, which a phone that was not opened since still has.
 */
export function windows(today: string): [string, string] {
  const weekday = (new Date(`${today}T00:00:00Z`).getUTCDay() + 6) % 7
  const monday = daysAfter(today, -weekday)
  return [address(monday), address(daysAfter(monday, -7))]
}

function address(first: string): string {
  return `/api/v1/lessons?first=${first}&last=${daysAfter(first, WINDOW_DAYS)}`
}

/** Today's, and those of the next two weeks, in order of time. */
export function sorted(rows: readonly Lesson[], today: string): [Lesson[], Lesson[]] {
  const last = daysAfter(today, 14)
  return [
    rows.filter((one) => one.on === today),
    rows.filter((one) => one.on > today && one.on <= last),
  ]
}

/** What should be on this phone before there is no signal: today's, and the next day's. */
export function soon(today: readonly Lesson[], coming: readonly Lesson[]): Lesson[] {
  const next = coming.find(meets)?.on
  return [...today, ...coming.filter((one) => one.on === next)].filter(meets)
}

export function meets(lesson: Lesson): boolean {
  return lesson.closed === null && lesson.state !== 'cancelled'
}
