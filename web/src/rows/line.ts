/** What is on this phone, in one line. */
import { clockTime, localDate, shortDate } from '../parts/when'
import type { Sync, SignedIn } from '../shell/phone'
import type { Counts } from '../store/store'
import { words } from '../words/words'

export function line(
  counts: Counts | null,
  standing: Sync['standing'],
  signedIn: SignedIn,
  now: number,
): string {
  const said = words.sync
  if (!counts) return said.reading
  const parts = [waiting(counts, standing, signedIn, now)]
  if (counts.refused) parts.push(said.refused(counts.refused))
  if (counts.held) parts.push(said.held(counts.held))
  return parts.join(' · ')
}

function waiting(
  counts: Counts,
  standing: Sync['standing'],
  signedIn: SignedIn,
  now: number,
): string {
  const said = words.sync
  if (counts.since === null) return signedIn === 'ended' ? said.signedOutSent : said.allSent
  const what = said.what(counts.waiting, counts.waiting === counts.tries)
  if (standing === 'signed_out') return said.signedOut(what)
  if (standing === 'other_member') return said.otherMember(what)
  if (standing === 'update') return said.update(what)
  return said.since(what, when(counts.since, now))
}

function when(moment: number, now: number): string {
  const time = clockTime(moment)
  const day = localDate(moment)
  return day === localDate(now) ? time : `${shortDate(day)}, ${time}`
}
