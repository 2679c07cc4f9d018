/** What is on this phone and how it is sent, for screens to stand on. */
import type { Ask } from '../api/client'
import { Loop, type Standing } from '../sync/loop'
import { drain } from '../sync/sender'
import { locked, type News, type Tabs } from '../sync/tabs'
import type { Counts, Store } from '../store/store'
import type { Sync } from './phone'

interface World {
  readonly store: Store
  readonly ask: Ask
  readonly now: () => number
  readonly tabs: Tabs
  readonly broke: (error: unknown) => void
  /** The server speaks to newer clients only. */
  readonly tooOld: () => void
}

const NOTHING: Counts = { waiting: 0, tries: 0, held: 0, refused: 0, since: null }

export class Sending implements Sync {
  counts = $state.raw<Counts>(NOTHING)
  known = $state.raw(false)
  standing = $state.raw<Standing>('idle')
  readonly #world: World
  readonly #loop: Loop

  constructor(world: World) {
    const { store, ask, now, tabs, broke, tooOld } = world
    this.#world = world
    const recount = () => void this.count().catch(broke)
    const sending = { store, ask, now, settled: (news: News) => tabs.tell(news) }
    this.#loop = new Loop({
      drain: () => drain(sending),
      locked: (run) => locked(store.member, run),
      standing: (standing) => {
        this.standing = standing
        recount() // a tab that was frozen may have missed what another wrote
        if (standing === 'update') tooOld()
      },
      broke,
      chance: Math.random,
      after: (ms, run) => {
        const timer = setTimeout(run, ms)
        return () => clearTimeout(timer)
      },
    })
    tabs.hear(recount)
  }

  poke(): void {
    this.#world.tabs.tell('changed')
    this.#loop.poke()
  }

  now(): Promise<void> {
    return this.#loop.now()
  }

  /** There may be a signal again, or somebody looks at this phone again. */
  wake(): void {
    this.#loop.wake()
  }

  watch(changed: () => void): () => void {
    return this.#world.tabs.hear(changed)
  }

  close(): void {
    this.#loop.close()
  }

  async count(): Promise<void> {
    try {
      this.counts = await this.#world.store.counts()
      this.known = true
    } catch (error) {
      this.known = false
      throw error
    }
  }
}
