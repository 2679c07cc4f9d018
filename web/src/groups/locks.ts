/** Groups that this phone keeps as they are, where no lock for everybody can be had. */
import type { Seats } from '../lesson/tonight'
import { placesOf } from './seats'

/** Who is in which role of each locked group: another child in it, and the lock is gone. */
export type Locks = readonly string[]

export function lockedHere(locks: Locks, seats: Seats): boolean {
  return locks.includes(placesOf(seats))
}

export function turned(locks: Locks, seats: Seats): Locks {
  const one = placesOf(seats)
  return locks.includes(one) ? locks.filter((other) => other !== one) : [...locks, one]
}

/** The name under which a phone remembers them. */
export function choiceOf(lesson: string, skill: string): string {
  return `locks ${lesson} ${skill}`
}
