/** A clock between two taps, by the clock of events: it goes on while the page is not seen. */
import { ECHO_MS } from '../parts/echo'

const SHOWN_EVERY_MS = 100

export class Stopwatch {
  from = $state<number | null>(null)
  to = $state<number | null>(null)
  #now = $state(0)
  #showing: ReturnType<typeof setInterval> | null = null

  get running(): boolean {
    return this.from !== null && this.to === null
  }

  /** Up to when it shows, in ms by the clock of events. */
  get until(): number {
    return this.to ?? Math.max(this.#now, this.from ?? 0)
  }

  go(at: number): void {
    this.from = at
    this.to = null
    this.#now = at
    this.#showing ??= setInterval(() => (this.#now = performance.now()), SHOWN_EVERY_MS)
  }

  /** It runs on where the tap was an echo. */
  stop(at: number): void {
    if (this.from !== null && at - this.from < ECHO_MS) return
    this.to = at
    this.close()
  }

  close(): void {
    if (this.#showing !== null) clearInterval(this.#showing)
    this.#showing = null
  }
}
