/** Documents of the server: what this phone has kept first, then what is there now. */
import type { Ask } from '../api/client'
import { whole } from '../api/whole'
import type { Store } from '../store/store'
import type { Reading } from './phone'

interface World {
  readonly store: Store
  readonly ask: Ask
  readonly now: () => number
  /** The document is shown, and could not be kept for when there is no signal. */
  readonly broke: (error: unknown) => void
}

/** Meanwhile what was kept is shown; a whole evening may take a busy server a while. */
const PATIENCE_MS = 45_000
const MISSED = new Set<Reading<unknown>['trouble']>(['no_signal', 401, 409])

class Document<T> implements Reading<T> {
  body = $state.raw<T | null>(null)
  read_at = $state.raw<number | null>(null)
  from = $state.raw<'none' | 'kept' | 'fresh'>('none')
  trouble = $state.raw<null | 'no_signal' | number>(null)
  readonly #url: string
  readonly #world: World
  readonly #kept: Promise<void>
  #etag: string | null = null
  #busy: Promise<void> | null = null

  constructor(url: string, world: World) {
    this.#url = url
    this.#world = world
    this.#kept = this.#take()
    void this.refresh()
  }

  refresh(): Promise<void> {
    this.#busy ??= this.#ask().finally(() => {
      this.#busy = null
    })
    return this.#busy
  }

  async #take(): Promise<void> {
    const kept = await this.#world.store.read(this.#url)
    if (!kept) return
    this.body = kept.body as T
    this.read_at = kept.read_at
    this.from = 'kept'
    this.#etag = kept.etag
  }

  async #ask(): Promise<void> {
    const { store, ask, now, broke } = this.#world
    await this.#kept.catch(broke)
    const reply = await whole(ask, this.#url, {
      etag: this.#etag,
      member: store.member,
      patience_ms: PATIENCE_MS,
    })
    if (reply.is !== 'answer') {
      this.trouble = reply.is === 'silence' ? 'no_signal' : reply.status
      return
    }
    if (reply.status !== 304) {
      this.body = reply.body as T
      this.#etag = reply.etag
    }
    this.read_at = now()
    this.from = 'fresh'
    this.trouble = null
    const kept = { url: this.#url, etag: this.#etag, body: this.body, read_at: this.read_at }
    await store.keep(kept).catch(broke)
  }
}

export class Readings {
  readonly #world: World
  readonly #made = new Map<string, Document<unknown>>()

  constructor(world: World) {
    this.#world = world
  }

  of<T>(url: string): Reading<T> {
    const known = this.#made.get(url)
    if (known) {
      void known.refresh()
      return known as Reading<T>
    }
    const made = new Document<T>(url, this.#world)
    this.#made.set(url, made as Document<unknown>)
    return made
  }

  /** There may be a signal again, or she has signed in again. */
  async wake(): Promise<void> {
    const missed = [...this.#made.values()].filter((one) => MISSED.has(one.trouble))
    await Promise.all(missed.map((one) => one.refresh()))
  }

  async all(): Promise<void> {
    await Promise.all([...this.#made.values()].map((one) => one.refresh()))
  }
}
