/** Which component shows a page: the first ones come at once, the others in a file of their own. */
import type { Component } from 'svelte'
import Here from '../attendance/Here.svelte'
import Mat from '../mat/Mat.svelte'
import Station from '../mat/Station.svelte'
import SignIn from '../signin/SignIn.svelte'
import Today from '../today/Today.svelte'
import type { RouteName } from './routes'

/** Empty where the address has none; a page takes those that are its own. */
export interface PageProps {
  readonly lesson: string
  readonly skill: string
  readonly student: string
}

type Shown = Component<PageProps>
const FIRST = { today: Today, signIn: SignIn, here: Here, mat: Mat, station: Station }
type Later = Record<Exclude<RouteName, keyof typeof FIRST>, unknown>

class Pages {
  #known = $state.raw<Partial<Record<RouteName, unknown>>>(FIRST)
  /** They could not be fetched: no signal, or a newer version has taken their place. */
  missing = $state.raw(false)

  /** Null while it is being fetched. */
  of(name: RouteName): Shown | null {
    return (this.#known[name] as Shown | undefined) ?? null
  }

  async fetchLater(): Promise<void> {
    try {
      const later: Later = await import('./later')
      this.#known = { ...FIRST, ...later }
    } catch {
      this.missing = true
    }
  }
}

export const pages = new Pages()
