/** Who may be named as free to spot in a lesson. */
import { standing, type Member } from '../staff/standing'

/** Adults who may spot something and whose access holds that day; whoever asks is there anyway. */
export function offered(staff: readonly Member[], on: string, me: string): Member[] {
  return staff.filter(
    (one) =>
      one.adult && one.may_spot.length > 0 && one.id !== me && standing(one, on) === 'holds',
  )
}

/** Those who are named, with one more or without her; whose access has ended is named no longer. */
export function turned(
  named: readonly string[],
  id: string,
  staff: readonly Member[],
  on: string,
): string[] {
  const gone = staff.filter((one) => standing(one, on) !== 'holds').map((one) => one.id)
  const kept = named.filter((one) => one !== id && !gone.includes(one))
  return named.includes(id) ? kept : [...kept, id]
}
