/** When to send: at once after a tap, after a while where nobody answers, and when asked to. */
import { delay_ms } from './backoff'
import type { Ended } from './sender'

/** `update`: this client is too old to send. */
export type Standing = 'idle' | 'sending' | 'waiting' | 'signed_out' | 'other_member' | 'update'

/** What a server asks for by the time of day is as wrong as this phone's clock. */
const LONGEST_MS = 3_600_000

export interface World {
  readonly drain: () => Promise<Ended>
  /** Runs while no other tab of this member sends. */
  readonly locked: (run: () => Promise<Ended>) => Promise<Ended>
  readonly standing: (standing: Standing) => void
  /** The disk of this phone did not answer as it should. */
  readonly broke: (error: unknown) => void
  readonly chance: () => number
  readonly after: (ms: number, run: () => void) => () => void
}

export class Loop {
  readonly #world: World
  #running: Promise<void> | null = null
  #more = false
  #failures = 0
  #stopped = false
  #closed = false
  #asleep: (() => void) | null = null
  /** The server has said how long to wait. */
  #told = false

  constructor(world: World) {
    this.#world = world
  }

  /** Rows have been added. Between two tries, or where sending has stopped, they only wait. */
  poke(): void {
    if (this.#running) this.#more = true
    else if (!this.#asleep && !this.#stopped) void this.#run()
  }

  /** There may be a signal again, or somebody looks at this phone again. */
  wake(): void {
    if (this.#told && this.#asleep) return
    void this.now()
  }

  /** Without waiting out the time between tries; resolves when it is known what became of it. */
  async now(): Promise<void> {
    this.#failures = 0
    this.#stopped = false
    if (this.#running) await this.#running
    await this.#run()
  }

  close(): void {
    this.#closed = true
    this.#asleep?.()
  }

  #run(): Promise<void> {
    if (this.#closed) return Promise.resolve()
    this.#running ??= this.#rounds()
    return this.#running
  }

  async #rounds(): Promise<void> {
    this.#asleep?.()
    this.#asleep = null
    this.#world.standing('sending')
    let ended: Ended
    do {
      this.#more = false
      ended = await this.#once()
    } while (this.#more && ended.is === 'done')
    this.#running = null
    if (!this.#closed) this.#rest(ended)
  }

  async #once(): Promise<Ended> {
    try {
      return await this.#world.locked(this.#world.drain)
    } catch (error) {
      this.#world.broke(error)
      return { is: 'later', wait_ms: null }
    }
  }

  #rest(ended: Ended): void {
    const { standing, chance, after } = this.#world
    if (ended.is === 'done') {
      this.#failures = 0
      standing('idle')
    } else if (ended.is === 'later') {
      standing('waiting')
      this.#told = ended.wait_ms !== null
      const wait = Math.min(LONGEST_MS, ended.wait_ms ?? delay_ms(this.#failures, chance()))
      this.#failures++
      this.#asleep = after(wait, () => void this.#run())
    } else {
      this.#stopped = true
      standing(ended.is)
    }
  }
}
