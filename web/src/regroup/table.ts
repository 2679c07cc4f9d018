/** A pair table as a phone reads it: by what its page says and by nothing else.
 *
 * Children are meant by their place in the table, from 0. */

import type { components } from '../api/schema'
import type { PairTable } from './tonight'

export type Held = components['schemas']['TableChild']
export type TableRole = components['schemas']['TableRole']
export type State = Held['state']
/** Role -> places of children. */
export type Seating = { readonly [role: string]: readonly number[] }

interface Row {
  readonly ask: ReadonlySet<string>
  readonly stop: ReadonlySet<string>
}

/** The same for the same children in any order. */
export const keyOf = (some: readonly number[]) => [...some].sort((a, b) => a - b).join()

export const pairsOf = (
  bases: readonly number[],
  flyers: readonly number[],
): [number, number][] =>
  bases.flatMap((base) => flyers.map((flyer): [number, number] => [base, flyer]))

export const members = (seats: Seating): number[] => Object.values(seats).flat()

export class Table {
  readonly roles: ReadonlyMap<string, TableRole>
  private readonly places: ReadonlyMap<string, number>
  private readonly rows: ReadonlyMap<string, Row>
  private readonly agreed: ReadonlySet<number>

  constructor(readonly said: PairTable) {
    this.roles = new Map(said.roles.map((role) => [role.role, role]))
    this.places = new Map(said.children.map((id, at) => [id, at]))
    this.rows = new Map(
      said.sets.map((row) => [
        keyOf(row.bases),
        { ask: new Set(row.ask.map(keyOf)), stop: new Set(row.stop.map(keyOf)) },
      ]),
    )
    this.agreed = new Set(said.agreed.map(([base = -1, flyer = -1]) => this.pair(base, flyer)))
  }

  /** Her place, undefined of a child that the table does not know. */
  place(id: string): number | undefined {
    return this.places.get(id)
  }

  id(at: number): string {
    const id = this.said.children[at]
    if (id === undefined) throw new RangeError(`the table has no child ${at}`)
    return id
  }

  held(role: string, at: number): Held | undefined {
    return this.roles.get(role)?.children[at]
  }

  /** Whether nothing stops her in a role, and the log or a teacher's yes lets her in. */
  mayHold(role: string, at: number): boolean {
    const held = this.held(role, at)
    return held !== undefined && held.ready && held.state !== 'stop'
  }

  isAgreed(base: number, flyer: number): boolean {
    return this.agreed.has(this.pair(base, flyer))
  }

  /** The (base, flyer) pairs without a teacher's yes. */
  toAgree(bases: readonly number[], flyers: readonly number[]): [number, number][] {
    return pairsOf(bases, flyers).filter(([base, flyer]) => !this.isAgreed(base, flyer))
  }

  /** What stands against these bases with these flyers. */
  state(bases: readonly number[], flyers: readonly number[]): State {
    return this.under(bases)(flyers, keyOf(flyers))
  }

  /** The same for many flyers under some bases; the key is that of the flyers. */
  under(bases: readonly number[]): (flyers: readonly number[], key: string) => State {
    const row = this.rows.get(keyOf(bases))
    const covered = this.covers('base', bases)
    return (flyers, key) => {
      if (!bases.length || !flyers.length) return 'fits'
      if (row?.stop.has(key)) return 'stop'
      const open = row?.ask.has(key) || !covered || !this.covers('flyer', flyers)
      const agreed = () =>
        bases.every((base) => flyers.every((flyer) => this.isAgreed(base, flyer)))
      return open && !agreed() ? 'ask' : 'fits'
    }
  }

  /** Said of any set of children who do not fit: nothing tells why. */
  get anotherSays(): string {
    const { stop_says, partner_says } = this.said
    return this.roles.has('base') && this.roles.has('flyer') ? stop_says : partner_says
  }

  /** Where no set is listed at all there is nothing that could be said of a larger one. */
  private covers(role: string, some: readonly number[]): boolean {
    const { covers } = this.said
    if (this.rows.size && some.length > (this.roles.get(role)?.max ?? 0)) return false
    return covers === 'ready'
      ? some.every((at) => this.held(role, at)?.ready)
      : covers === 'everybody'
  }

  private pair(base: number, flyer: number): number {
    return base * this.said.children.length + flyer
  }
}
