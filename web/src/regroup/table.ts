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

const inOrder = (some: readonly number[]) => [...some].sort((a, b) => a - b).join()

export const members = (seats: Seating): number[] => Object.values(seats).flat()

export class Table {
  readonly roles: ReadonlyMap<string, TableRole>
  private readonly places: ReadonlyMap<string, number>
  private readonly rows: ReadonlyMap<string, Row>
  private readonly agreed: ReadonlySet<string>

  constructor(readonly said: PairTable) {
    this.roles = new Map(said.roles.map((role) => [role.role, role]))
    this.places = new Map(said.children.map((id, at) => [id, at]))
    this.rows = new Map(
      said.sets.map((row) => [
        inOrder(row.bases),
        { ask: new Set(row.ask.map(inOrder)), stop: new Set(row.stop.map(inOrder)) },
      ]),
    )
    this.agreed = new Set(said.agreed.map((pair) => pair.join()))
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
    return this.agreed.has(`${base},${flyer}`)
  }

  /** The (base, flyer) pairs without a teacher's yes. */
  toAgree(bases: readonly number[], flyers: readonly number[]): [number, number][] {
    return bases.flatMap((base) =>
      flyers.filter((flyer) => !this.isAgreed(base, flyer)).map((flyer): [number, number] => [base, flyer]),
    )
  }

  /** What stands against these bases with these flyers. */
  state(bases: readonly number[], flyers: readonly number[]): State {
    if (!bases.length || !flyers.length) return 'fits'
    const row = this.rows.get(inOrder(bases))
    const key = inOrder(flyers)
    if (row?.stop.has(key)) return 'stop'
    if (row?.ask.has(key) || !this.covers(bases, flyers)) {
      return this.toAgree(bases, flyers).length ? 'ask' : 'fits'
    }
    return 'fits'
  }

  /** Said of any set of children who do not fit: nothing tells why. */
  get anotherSays(): string {
    const { stop_says, partner_says } = this.said
    return this.roles.has('base') && this.roles.has('flyer') ? stop_says : partner_says
  }

  private covers(bases: readonly number[], flyers: readonly number[]): boolean {
    const { covers } = this.said
    if (covers === 'nobody') return false
    const all: [string, readonly number[]][] = [['base', bases], ['flyer', flyers]]
    // With no set listed at all there is nothing that could be said of a larger one.
    const asListed = !this.rows.size || all.every(([role, some]) => some.length <= (this.roles.get(role)?.max ?? 0))
    return asListed && (covers === 'everybody' || all.every(([role, some]) => some.every((at) => this.held(role, at)?.ready)))
  }
}
