/** What is done with a signal alone: locks that hold for everybody, asks that are passed. */
import type { Ask, Asked } from '../api/client'
import type { Reply } from '../api/reply'
import type { Groups, Seats } from '../lesson/tonight'
import type { Found } from '../regroup'
import type { components } from '../api/schema'

export type Answer = components['schemas']['NewAnswer']
export type Reason = Answer['reason']
export type Done = 'done' | 'no_signal' | 'refused'
/** `none`: nothing asks there any more. */
export type Passed = Done | 'none'

export interface Place {
  readonly lesson: string
  readonly skill: string
  readonly member: string
}

/** The asks that a teacher answers by their own code; a phone's own check has but one for most. */
const CODES: readonly string[] = [
  'yes', 'not_ready', 'pair', 'height', 'back', 'floor', 'line',
] satisfies Answer['code'][]
const OF_A_ROLE: readonly string[] = ['yes', 'not_ready'] satisfies Answer['code'][]

export async function lock(
  ask: Ask,
  { lesson, skill, member }: Place,
  version: number,
  group: string,
  locked: boolean,
): Promise<Done> {
  const url = `/api/v1/lessons/${lesson}/groups/${skill}/lock`
  return done(await ask('POST', url, { body: { group, locked }, version: `"v${version}"`, member }))
}

/** Passes an ask of a group for this evening; what the phone calls `ask` is looked up first. */
export async function pass(
  ask: Ask,
  place: Place,
  found: Found,
  seats: Seats,
  reason: Reason,
): Promise<Passed> {
  const asks = CODES.includes(found.code) ? [found] : await lookedUp(ask, place, found, seats)
  if (!Array.isArray(asks)) return asks
  if (asks.length === 0) return 'none'
  for (const one of asks) {
    const body = answerTo(place.skill, one, reason)
    const url = `/api/v1/lessons/${place.lesson}/asks`
    const said = done(await ask('POST', url, { body, member: place.member }))
    if (said !== 'done') return said
  }
  return 'done'
}

export function answerTo(skill: string, { code, students, role }: Found, reason: Reason): Answer {
  const about = OF_A_ROLE.includes(code) ? (role as Exclude<Answer['role'], undefined>) : null
  return { skill, code: code as Answer['code'], students, role: about, reason }
}

/** What the server asks about the same child in the same role. */
async function lookedUp(
  ask: Ask,
  { lesson, skill, member }: Place,
  found: Found,
  seats: Seats,
): Promise<Found[] | Done> {
  const body = { skill, groups: [{ seats }] } satisfies Asked['body']
  const reply = await ask('POST', `/api/v1/lessons/${lesson}/groups/check`, { body, member })
  if (reply.is !== 'answer') return done(reply)
  const { groups } = reply.body as Groups
  const [student] = found.students
  return groups
    .flatMap((one) => one.asks)
    .filter((one) => CODES.includes(one.code) && one.code !== 'pair' && one.code !== 'line')
    .filter((one) => one.students[0] === student && (one.role === null || one.role === found.role))
}

function done(reply: Reply): Done {
  if (reply.is === 'silence') return 'no_signal'
  return reply.is === 'answer' ? 'done' : 'refused'
}
