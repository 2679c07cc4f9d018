/** Dates and times as they are said: in a zone, in English. */
const LOCALE = 'en-GB'

/** “17:45”, in an IANA zone, or that of this phone. */
export function clockTime(moment: string | number, zone?: string): string {
  return said(moment, { hour: '2-digit', minute: '2-digit' }, zone)
}

/** “Tuesday 1 December”. */
export function weekdayDate(day: string): string {
  return said(`${day}T12:00:00Z`, { weekday: 'long', day: 'numeric', month: 'long' }, 'UTC').replace(
    ',',
    '',
  )
}

/** “3 May”. */
export function shortDate(day: string): string {
  return said(`${day}T12:00:00Z`, { day: 'numeric', month: 'long' }, 'UTC')
}

/** “3 May 2026”. */
export function longDate(day: string): string {
  const date = { day: 'numeric', month: 'long', year: 'numeric' } as const
  return said(`${day}T12:00:00Z`, date, 'UTC')
}

/** “at 17:45”, with the date where that is another day than `now`. */
export function since(moment: number, now: number): string {
  const time = clockTime(moment)
  const day = { day: 'numeric', month: 'long' } as const
  const date = said(moment, day)
  return date === said(now, day) ? `at ${time}` : `on ${date} at ${time}`
}

/** The local date of a moment in ms: on this phone, or in a zone. */
export function localDate(moment: number, zone?: string): string {
  const parts = new Intl.DateTimeFormat('en-CA', { dateStyle: 'short', ...of(zone) })
  return parts.format(moment)
}

/** A date some days on. */
export function daysAfter(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10)
}

function said(moment: string | number, options: Intl.DateTimeFormatOptions, zone?: string): string {
  const when = typeof moment === 'string' ? Date.parse(moment) : moment
  return new Intl.DateTimeFormat(LOCALE, { hourCycle: 'h23', ...options, ...of(zone) }).format(when)
}

function of(zone?: string): { timeZone?: string } {
  return zone ? { timeZone: zone } : {}
}
