/** What was chosen and tapped at one station tonight; it stays while the lesson is open. */
import type { Change, Entry, Evening } from '../lesson/evening.svelte'
import type { Card, Outcome, Role, Spot, Try } from '../lesson/tonight'
import { tapOf } from '../parts/echo'
import { notices } from '../parts/notices.svelte'
import { words } from '../words/words'
import { onDisk } from './on_disk'
import { told } from './told'
import { correctedBy, entriesOf, lastTried, type Said, type Tap, type Way } from './tap'
import { isEcho, joined, turned, type Joined, type Touch } from './turn'
import { triesAt, unitsOf, type Seat, type Unit } from './units'
import { wayToBegin } from './ways'

export type Correction = Change & { readonly outcome?: Outcome }

type Step =
  | { readonly kind: 'tried'; readonly attempts: readonly string[] }
  | { readonly kind: 'changed'; readonly attempt: string; readonly before: Correction }

export class Station {
  /** Null: as advised for each. */
  spot = $state<Spot | null>(null)
  /** Of who is in no group; null: as fits her. */
  role = $state<Role | null>(null)
  wayIn = $state<string | null>(null)
  wayOut = $state<string | null>(null)
  readonly #skill: string
  readonly #evening: Evening
  #steps = $state.raw<readonly Step[]>([])
  /** Attempt -> the outcome that stood there before. */
  #instead = $state.raw<ReadonlyMap<string, Outcome>>(new Map())
  #taps: readonly Tap[] = []
  #touch: Touch | null = null
  #line: Joined | null = null
  #before: Promise<unknown> = Promise.resolve()

  constructor(evening: Evening, skill: string) {
    this.#evening = evening
    this.#skill = skill
  }

  /** As tonight's sheet has it; without a card no station is shown. */
  get card(): Card {
    return this.#now.cards.get(this.#skill)!
  }

  /** Tonight's tries here, oldest first. */
  get tries(): Try[] {
    return triesAt(this.#now, this.card)
  }

  /** Who tries here, next up first, and who rests from it. */
  units(): { up: Unit[]; barred: Unit[] } {
    const { here } = this.#now
    const tries = this.tries
    this.#line = joined(
      this.#line,
      here.map((one) => one.id),
      tries.length,
    )
    const units = turned(unitsOf(this.#now, this.card, this.role), tries, this.#line)
    return {
      up: units.filter((one) => one.bars.length === 0),
      barred: units.filter((one) => one.bars.length > 0),
    }
  }

  way(unit: Unit, up: readonly Unit[]): Way {
    return {
      spot: this.spot ?? unit.spot,
      way_in: this.wayIn ?? wayToBegin(this.card, 'ways_in', up),
      way_out: this.wayOut ?? wayToBegin(this.card, 'ways_out', up),
    }
  }

  /** Whether a finger meant this row, and not the one that was there a moment ago. */
  meant(key: string, event: MouseEvent): boolean {
    const touch = { key, ...tapOf(event) }
    if (isEcho(this.#touch, touch)) return false
    this.#touch = touch
    return true
  }

  /** A try of a group, or of one child, at a moment by the clock of events. */
  tried(seats: readonly Seat[], way: Way, said: Said, at: number): Promise<string[] | null> {
    return this.#inTurn(() => this.#tried(seats, way, said, at))
  }

  /** An outcome on one child of a group: it corrects what was just said of her, or is a try. */
  child(seat: Seat, way: Way, outcome: Outcome, at: number): Promise<unknown> {
    return this.#inTurn<unknown>(() => {
      const corrected = correctedBy(this.#taps, this.tries, seat.child.id, outcome, at)
      return corrected
        ? this.#change(corrected, { outcome })
        : this.#tried([seat], way, { outcome }, at)
    })
  }

  /** Tries as one write; the attempts, or null where they are not on this phone. */
  write(entries: readonly Entry[], at: number, text: string): Promise<string[] | null> {
    return this.#inTurn(() => this.#write(entries, at, text))
  }

  change(one: Try, change: Correction): Promise<void> {
    return this.#inTurn(() => this.#change(this.#stands(one.attempt) ?? one, change))
  }

  remove(tries: readonly Try[]): Promise<void> {
    return this.#inTurn(() => this.#remove(tries.map((one) => this.#stands(one.attempt) ?? one)))
  }

  /** The tries of the last tap here, as they stand. */
  get last(): Try[] {
    const tries = this.tries
    for (const step of this.#steps.toReversed()) {
      if (step.kind !== 'tried') continue
      const found = tries.filter((one) => step.attempts.includes(one.attempt))
      if (found.length > 0) return found
    }
    return lastTried(tries)
  }

  /** Takes the last tap back, whether it was a try or a correction. */
  undo(): Promise<void> {
    return this.#inTurn(async () => {
      const step = this.#steps.at(-1)
      const changed = step?.kind === 'changed' ? this.#stands(step.attempt) : null
      if (step?.kind !== 'changed' || !changed) return this.#remove(this.last)
      if ((await onDisk(this.#evening.correct(changed, step.before))) === null) return
      this.#steps = this.#steps.slice(0, -1)
      this.#remember(step.attempt, null)
      notices.say(words.shell.undone)
    })
  }

  insteadOf(one: Try): Outcome | null {
    const before = this.#instead.get(one.attempt)
    return before && before !== one.outcome ? before : null
  }

  name(one: Try): string {
    return this.#now.children.find((child) => child.id === one.student)?.name ?? ''
  }

  #tried(seats: readonly Seat[], way: Way, said: Said, at: number): Promise<string[] | null> {
    const entries = entriesOf(this.card.skill, seats, way, said)
    return this.#write(entries, at, told(this.card, seats, said))
  }

  async #write(entries: readonly Entry[], at: number, text: string): Promise<string[] | null> {
    const tries = await onDisk(this.#evening.log(entries))
    if (tries === null) return null
    const attempts = tries.map((one) => one.attempt)
    this.#taps = [...this.#taps, { at, attempts }]
    this.#steps = [...this.#steps, { kind: 'tried', attempts }]
    notices.say(text)
    return attempts
  }

  async #change(one: Try, change: Correction): Promise<void> {
    // What is said of her by name is her own, whatever the group's try was.
    const named = change.outcome ? { ...change, weight: 'own' as const } : change
    if ((await onDisk(this.#evening.correct(one, named))) === null) return
    const { spot, way_in, way_out, weight } = one
    const outcome = one.outcome as Outcome
    const before = { spot, outcome, way_in, way_out, weight }
    this.#steps = [...this.#steps, { kind: 'changed', attempt: one.attempt, before }]
    if (change.outcome) this.#remember(one.attempt, outcome)
    const { outcome: says } = words.shell
    notices.say(
      change.outcome
        ? words.mat.corrected(this.name(one), says[change.outcome], says[outcome])
        : words.mat.changed,
    )
  }

  async #remove(tries: readonly Try[]): Promise<void> {
    if (tries.length === 0 || (await onDisk(this.#evening.undo(tries))) === null) return
    const gone = tries.map((one) => one.attempt)
    this.#steps = this.#steps.filter((step) =>
      step.kind === 'tried'
        ? !step.attempts.every((one) => gone.includes(one))
        : !gone.includes(step.attempt),
    )
    notices.say(words.shell.undone)
  }

  /** One tap after the other: each goes by what the one before it has written. */
  #inTurn<T>(act: () => Promise<T>): Promise<T> {
    const done = this.#before.then(act)
    this.#before = done.catch(() => {}) // whoever tapped hears of it
    return done
  }

  #stands(attempt: string): Try | null {
    return this.tries.find((one) => one.attempt === attempt) ?? null
  }

  #remember(attempt: string, before: Outcome | null): void {
    const next = new Map(this.#instead)
    if (before === null) next.delete(attempt)
    else if (!next.has(attempt)) next.set(attempt, before)
    this.#instead = next
  }

  get #now() {
    return this.#evening.now!
  }
}

const STATIONS = new WeakMap<Evening, Map<string, Station>>()

/** The station of a skill, as it was left. */
export function stationOf(evening: Evening, skill: string): Station {
  const known = STATIONS.get(evening) ?? new Map<string, Station>()
  STATIONS.set(evening, known)
  const station = known.get(skill) ?? new Station(evening, skill)
  known.set(skill, station)
  return station
}
