/** What is done with the groups of a skill beside changing them. */
import { notices } from '../parts/notices.svelte'
import type { Found } from '../regroup'
import { phone } from '../shell/phone'
import { words } from '../words/words'
import { choiceOf, turned } from './locks'
import { lock, pass, type Done, type Place, type Reason } from './signal'
import { formedIn, type GroupShown } from './view'
import { written, type Work } from './work.svelte'

const said = words.groups

function placeOf({ evening, skill }: Work): Place {
  return { lesson: evening.lesson, skill, member: phone().store.member }
}

/** Locks for everybody where that can be had, else on this phone; unlocks what is locked. */
export async function turnLock(work: Work, group: GroupShown): Promise<void> {
  const { number } = group
  if (group.locked === 'here') {
    if (await turnHere(work, group)) notices.say(said.isUnlocked(number))
    return
  }
  const locks = group.locked === null
  const kept = work.view?.source === 'kept' && group.id !== null
  const done = kept ? await onServer(work, group.id!, locks) : 'no_signal'
  if (done === 'done') {
    await work.evening.refresh()
    notices.say(locks ? said.isLocked(number) : said.isUnlocked(number))
  } else if (done === 'refused') {
    await work.evening.refresh()
    notices.say(said.lockRefused)
  } else if (!locks) {
    notices.say(said.unlockNeedsSignal)
  } else if (await turnHere(work, group)) {
    notices.say(said.lockedHere(number))
  }
}

function onServer(work: Work, group: string, locked: boolean): Promise<Done> {
  return lock(phone().ask, placeOf(work), work.view?.version ?? 0, group, locked)
}

function turnHere(work: Work, group: GroupShown): Promise<boolean> {
  const [formed] = formedIn({ groups: [group] })
  const locks = turned(work.locks, formed!.seats)
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
): Promise<Done> {
  const [formed] = formedIn({ groups: [group] })
  const done = await pass(phone().ask, placeOf(work), found, formed!, reason)
  if (done === 'done') {
    await work.again()
    notices.say(said.passed(said.reasons[reason]))
  }
  return done
}

/** This phone's groups instead of the server's: a new row on top of what stands there. */
export async function keepMine(work: Work): Promise<void> {
  const conflict = work.view?.conflict
  if (!conflict) return
  const { evening, skill, formed } = work
  const done = await written(async () => {
    await evening.keep(skill, formed, conflict.version)
    await putAside(work)
  })
  if (done) notices.say(said.keptMine)
}

export async function takeTheirs(work: Work): Promise<void> {
  if (await written(() => putAside(work))) notices.say(said.tookTheirs)
}

/** What was refused has been looked at: it asks for nobody any more. */
async function putAside({ evening, card }: Work): Promise<void> {
  const { store } = phone()
  for (const row of await store.ofLesson(evening.lesson)) {
    const mine = row.kind === 'groups' && row.body.skill_id === card.skill_id
    if (mine && row.state === 'refused' && !row.aside) await store.putAside(row.id)
  }
  await evening.again()
}
