/**
 * Which component shows a page: the first ones come at once, the others of the mat in a file of
 * their own soon after, those of the desk in another when the first of them is opened.
 */
import type { Component } from 'svelte'
import Here from '../attendance/Here.svelte'
import Mat from '../mat/Mat.svelte'
import Station from '../mat/Station.svelte'
import SignIn from '../signin/SignIn.svelte'
import Today from '../today/Today.svelte'
import { DESK, type RouteName } from './routes'

/** Empty where the address has none; a page takes those that are its own. */
export interface PageProps {
  readonly lesson: string
  readonly skill: string
  readonly student: string
  readonly colleague: string
  readonly klass: string
  readonly edition: string
  readonly draft: string
}

export const NOWHERE: PageProps = {
  lesson: '',
  skill: '',
  student: '',
  colleague: '',
  klass: '',
  edition: '',
  draft: '',
}

type Shown = Component<PageProps>
const FIRST = { today: Today, signIn: SignIn, here: Here, mat: Mat, station: Station }
type OfDesk = keyof typeof DESK
type Desk = Record<OfDesk, unknown>
type Later = Record<Exclude<RouteName, keyof typeof FIRST | OfDesk>, unknown>

class Pages {
  #known = $state.raw<Partial<Record<RouteName, unknown>>>(FIRST)
  /** They could not be fetched: no signal, or a newer version has taken their place. */
  missing = $state.raw(false)

  /** Null while it is being fetched. */
  of(name: RouteName): Shown | null {
    return (this.#known[name] as Shown | undefined) ?? null
  }

  async fetchLater(): Promise<void> {
    await this.#fetch(async (): Promise<Later> => await import('./later'))
  }

  async fetchFor(name: RouteName): Promise<void> {
    if (!(name in DESK) || name in this.#known) return
    await this.#fetch(async (): Promise<Desk> => await import('./desk'))
  }

  async #fetch(bring: () => Promise<Partial<Record<RouteName, unknown>>>): Promise<void> {
    try {
      const brought = await bring()
      this.#known = { ...this.#known, ...brought }
      this.missing = false
    } catch {
      this.missing = true
    }
  }
}

export const pages = new Pages()
