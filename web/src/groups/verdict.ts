/** Whether changed groups may be kept: what the server would say of them, said at once. */
import { check, leastChange, type Formed, type Found, type Mended, type Tonight } from '../regroup'
import { placesOf } from './seats'

export interface Verdict {
  /** Of groups that are new or changed, and of all together: nobody passes these. */
  readonly stops: readonly Found[]
  /** Numbers of locked groups that would change. */
  readonly locked: readonly number[]
  /** Whether an assistant leaves these to a teacher. */
  readonly forATeacher: boolean
  /** Nobody would be in a group any more. */
  readonly empty: boolean
}

export const FREE: Verdict = { stops: [], locked: [], forATeacher: false, empty: false }

export function verdictOn(
  asked: Tonight | null,
  before: readonly Formed[],
  after: readonly Formed[],
): Verdict {
  const standing = new Map(after.map((one) => [one.id ?? placesOf(one.seats), placesOf(one.seats)]))
  const locked = before.flatMap((one, at) => {
    const places = placesOf(one.seats)
    return one.locked && standing.get(one.id ?? places) !== places ? [at + 1] : []
  })
  const empty = after.every((one) => placesOf(one.seats) === '')
  if (!asked) return { ...FREE, locked, empty }
  const stood = new Set(before.map((one) => placesOf(one.seats)))
  const checked = check(asked, after)
  const changed = checked.groups.filter((one) => !stood.has(placesOf(one.seats)))
  const stops = changed.flatMap((one) => one.stops)
  return {
    stops: changed.length > 0 ? [...stops, ...checked.stops] : [],
    locked,
    forATeacher: asked.assistant && checked.groups.some((one) => one.forATeacher),
    empty,
  }
}

export function mayBeKept({ stops, locked, forATeacher, empty }: Verdict): boolean {
  return stops.length === 0 && locked.length === 0 && !forATeacher && !empty
}

/** The least that must change, where something stops; null where nothing helps or nothing must. */
export function mended(asked: Tonight | null, after: readonly Formed[]): Mended | null {
  const found = asked && leastChange(asked, after)
  return found && found.changes.length > 0 ? found : null
}
