/** What is done with the groups of a skill beside changing them. */
import { notices } from '../parts/notices.svelte'
import type { Found } from '../regroup'
import { phone } from '../shell/phone'
import { words } from '../words/words'
import { choiceOf, turned } from './locks'
import { putAside, refusedOf } from './refused'
import { placesOf, seatsOf } from './seats'
import { lock, pass, type Done, type Passed, type Place, type Reason } from './signal'
import type { GroupShown } from './view'
import { written, type Work } from './work.svelte'

const said = words.groups

function placeOf({ evening, skill }: Work): Place {
  return { lesson: evening.lesson, skill, member: phone().store.member }
}

/** Locks on this phone at once, and for everybody as soon as that can be had; or unlocks. */
export async function turnLock(work: Work, group: GroupShown): Promise<void> {
  const { number } = group
  if (group.locked === 'everywhere') {
    const done = await onServer(work, group, false)
    if (done === 'no_signal') notices.say(said.unlockNeedsSignal)
    else await told(work, done, said.isUnlocked(number))
  } else if (await turnHere(work, group)) {
    if (group.locked === 'here') return notices.say(said.isUnlocked(number))
    notices.say(said.lockedHere(number))
    await forEverybody(work, group)
  }
}

/** What this phone has locked becomes a lock for everybody once its groups are kept there. */
async function forEverybody(work: Work, group: GroupShown): Promise<void> {
  const { view } = work
  if (view?.source === 'proposed' || view?.conflict) return
  if (view?.source === 'made') {
    await phone().sync.now()
    await work.evening.refresh()
    if (work.closed) return
  }
  const places = placesOf(seatsOf(group.seats))
  const kept = work.view?.groups.find((one) => placesOf(seatsOf(one.seats)) === places)
  if (work.view?.source !== 'kept' || kept?.locked !== 'here') return
  const done = await onServer(work, kept, true)
  if (done === 'no_signal') return
  await told(work, done, said.isLocked(kept.number))
  await turnHere(work, kept)
}

async function onServer(work: Work, { id }: GroupShown, locked: boolean): Promise<Done> {
  if (id === null) return 'no_signal'
  return lock(phone().ask, placeOf(work), work.version, id, locked)
}

async function told(work: Work, done: Done, sentence: string): Promise<void> {
  notices.say(done === 'done' ? sentence : said.lockRefused)
  await work.evening.refresh()
}

function turnHere(work: Work, group: GroupShown): Promise<boolean> {
  const locks = turned(work.locks, seatsOf(group.seats))
  return written(async () => {
    await phone().store.choose(choiceOf(work.evening.lesson, work.skill), locks)
    work.locks = locks
  })
}

export async function passAsk(
  work: Work,
  group: GroupShown,
  found: Found,
  reason: Reason,
): Promise<Passed> {
  const done = await pass(phone().ask, placeOf(work), found, seatsOf(group.seats), reason)
  if (done === 'done') notices.say(said.passed(said.reasons[reason]))
  if (done === 'none') notices.say(said.passedAlready)
  if (done === 'done' || done === 'none') void work.again()
  return done
}

/** This phone's groups instead of the server's: a new row on top of what stands there. */
export async function keepMine(work: Work): Promise<void> {
  const { view, formed } = work
  if (view?.conflict && (await work.keep(formed, view.conflict.version))) notices.say(said.keptMine)
}

export async function takeTheirs({ evening, card }: Work): Promise<void> {
  const done = await written(async () => {
    const { store } = phone()
    await putAside(store, await refusedOf(store, evening.lesson, card.skill_id))
    await evening.again()
  })
  if (done) notices.say(said.tookTheirs)
}
