/** Small tables told by names: whoever is not named otherwise is ready and fits. */

import type { Found, PairTable, Role, Tonight } from '../tonight'

type Sizes = Partial<Record<Role, readonly [min: number, max: number]>>
type Pair = readonly [string, string]

interface Told {
  readonly roles: Sizes
  readonly lifted?: boolean
  readonly spotted?: boolean
  readonly learningSize?: number
  /** Role and name -> the sentence. */
  readonly stop?: Readonly<Record<string, string>>
  readonly ask?: Readonly<Record<string, string>>
  readonly notReady?: readonly string[]
  /** Base with flyer; those who are not to be agreed may not be together. */
  readonly toAgree?: readonly Pair[]
  readonly another?: readonly Pair[]
  readonly table?: Partial<PairTable>
  readonly tonight?: Partial<Tonight>
  readonly says?: readonly Found[]
}

export function tonight(names: string, told: Told): Tonight {
  const children = names.split(' ')
  const at = (name: string) => children.indexOf(name)
  const sets = children.map((base) => ({
    bases: [at(base)],
    ask: (told.toAgree ?? []).filter(([one]) => one === base).map(([, other]) => [at(other)]),
    stop: (told.another ?? []).filter(([one]) => one === base).map(([, other]) => [at(other)]),
  }))
  const sizes = Object.entries(told.roles) as [Role, readonly [number, number]][]
  const table: PairTable = {
    skill: 'hold',
    name: 'Hold',
    children,
    stops: [],
    roles: sizes.map(([role, [min, max]]) => ({
      role,
      min,
      max,
      children: children.map((name) => heldOf(told, `${role} ${name}`)),
    })),
    covers: 'everybody',
    sets: sets.filter(({ ask, stop }) => ask.length || stop.length),
    agreed: [],
    not_with: [],
    only_with: [],
    past_pairs: [],
    keep_partners: false,
    adults: 0,
    adults_a_group: 0,
    turns_under_one_spot: 1,
    groups_at_most: 9,
    ask_says: '“these two: yes”',
    stop_says: 'another base',
    partner_says: 'another partner',
    ...told.table,
  }
  return {
    table,
    card: {
      // A card that builds up something larger has room for more than are proposed.
      roles: table.roles.map(({ role, min, max }) => ({
        role,
        min,
        max: told.learningSize ? max + 2 : max,
        loads: [],
      })),
      learning_size: told.learningSize ?? null,
      lifted: told.lifted ?? false,
      spotted: told.spotted ?? false,
    },
    here: children,
    names: new Map([...children, 'Zola'].map((name) => [name, name])),
    assistant: false,
    ...told.tonight,
  }
}

function heldOf({ stop = {}, ask = {}, notReady = [] }: Told, seat: string) {
  const says = [stop[seat] ?? ask[seat]].filter((one) => one !== undefined)
  const state =
    seat in stop ? ('stop' as const) : seat in ask ? ('ask' as const) : ('fits' as const)
  return { state, ready: !notReady.includes(seat), says, turns: 0 }
}

export const PAIRS: Sizes = { base: [1, 1], flyer: [1, 1] }
export const LEAN: Sizes = { partner: [2, 2] }
export const LINE: Sizes = { front: [1, 1], middle: [0, 1], back: [1, 1] }

/** A group told as { base: 'Amara', flyer: 'Bao' }; several names by spaces. */
export const group = (seats: Partial<Record<Role, string>>, locked = false) => ({
  id: Object.values(seats).join(' '),
  seats: Object.fromEntries(Object.entries(seats).map(([role, held]) => [role, held.split(' ')])),
  locked,
})

export const seatsOf = (groups: readonly { readonly seats: object }[]) =>
  groups.map(({ seats }) =>
    Object.fromEntries(
      Object.entries(seats).map(([role, held]: [string, string[]]) => [role, held.join(' ')]),
    ),
  )

export const sentences = (some: readonly { readonly sentence: string }[]) =>
  some.map(({ sentence }) => sentence)
