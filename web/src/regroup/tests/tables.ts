/** Made-up tables of a few children, any that the page of the table allows. */

import fc from 'fast-check'
import type { Formed, PairTable, Tonight } from '../tonight'

const NAMES = ['Amara', 'Bao', 'Chidi', 'Demba', 'Esra', 'Farah']
type Sizes = Record<string, readonly [number, number]>
const LAYOUTS: readonly Sizes[] = [
  { partner: [2, 2] },
  { partner: [2, 4] },
  { base: [1, 1], flyer: [1, 1] },
  { flyer: [1, 2], base: [1, 2] },
  { base: [2, 3], flyer: [0, 1] },
  { front: [1, 1], middle: [0, 2], back: [1, 1] },
  { base: [1, 1], middle: [0, 1], flyer: [1, 1] },
]

const held = fc.record<PairTable['roles'][number]['children'][number]>({
  state: fc.constantFrom('fits', 'fits', 'ask', 'stop'),
  ready: fc.constantFrom(true, true, true, false),
  says: fc.constant(['said']),
  turns: fc.nat(3),
})

const some = <T>(all: readonly T[], most: number) =>
  all.length ? fc.uniqueArray(fc.constantFrom(...all), { maxLength: most }) : fc.constant<T[]>([])

function setsOf(places: readonly number[], [min, max]: readonly [number, number]): number[][] {
  const all = places.reduce<number[][]>(
    (sets, at) => [...sets, ...sets.map((set) => [...set, at])],
    [[]],
  )
  return all.filter((set) => set.length && set.length >= min && set.length <= max)
}

export const table = fc
  .tuple(
    fc.constantFrom(...LAYOUTS),
    fc.integer({ min: 0, max: 6 }),
    fc.constantFrom<PairTable['covers'][]>('everybody', 'everybody', 'ready', 'nobody'),
  )
  .chain(([layout, wanted, covers]) => {
    const names = Object.keys(layout)
    const children = NAMES.slice(0, names.length > 2 ? Math.min(5, wanted) : wanted)
    const places = children.map((_, at) => at)
    const pairs = places.flatMap((one) =>
      places.filter((other) => other > one).map((other) => [one, other]),
    )
    const sizeOf = (role: string) => layout[role] ?? [0, 0]
    const flyers = setsOf(places, sizeOf('flyer'))
    const rows =
      covers === 'nobody'
        ? []
        : setsOf(places, sizeOf('base')).map((bases) =>
            some(
              flyers.filter((set) => !set.some((at) => bases.includes(at))),
              12,
            ).chain((listed) =>
              fc
                .nat(listed.length)
                .map((cut) => ({ bases, ask: listed.slice(0, cut), stop: listed.slice(cut) })),
            ),
          )
    return fc.record<PairTable>({
      skill: fc.constant('hold'),
      name: fc.constant('Hold'),
      children: fc.constant(children),
      stops: fc.constant([]),
      roles: fc.tuple(
        ...names.map((role) =>
          fc.record({
            role: fc.constant(role as PairTable['roles'][number]['role']),
            min: fc.constant(sizeOf(role)[0]),
            max: fc.constant(sizeOf(role)[1]),
            children: fc.array(held, { minLength: children.length, maxLength: children.length }),
          }),
        ),
      ),
      covers: fc.constant(covers),
      sets: fc.tuple(...rows),
      agreed: some(
        pairs.flatMap((pair) => [pair, [...pair].reverse()]),
        4,
      ),
      not_with: some(pairs, 2),
      only_with: some(pairs, 1),
      past_pairs: some(pairs, 6).chain((met) =>
        fc.tuple(
          ...met.map((pair) => fc.integer({ min: 1, max: 3 }).map((count) => [...pair, count])),
        ),
      ),
      keep_partners: fc.boolean(),
      adults: fc.integer({ min: 1, max: 2 }),
      adults_a_group: fc.constantFrom(0, 0, 1),
      turns_under_one_spot: fc.integer({ min: 1, max: 2 }),
      groups_at_most: fc.constantFrom(0, 1, 2, 9, 9),
      ask_says: fc.constant('“these two: yes”'),
      stop_says: fc.constant('another base'),
      partner_says: fc.constant('another partner'),
    })
  })

export function tonightWith(said: PairTable, here: readonly string[] = said.children): Tonight {
  return {
    table: said,
    card: {
      roles: said.roles.map(({ role, min, max }) => ({ role, min, max: max + 1, loads: [] })),
      learning_size: null,
      lifted: false,
      spotted: false,
    },
    here,
    names: new Map(NAMES.map((name) => [name, name])),
    assistant: false,
  }
}

/** An evening with who is here and groups as somebody formed them of anybody on the list. */
export const evening: fc.Arbitrary<{ tonight: Tonight; formed: Formed[] }> = table.chain((said) =>
  fc
    .record({
      here: fc.subarray(said.children),
      places: fc.array(
        fc.tuple(fc.nat(2), fc.constantFrom(...said.roles.map(({ role }) => role), null)),
        {
          minLength: said.children.length,
          maxLength: said.children.length,
        },
      ),
      locked: fc.constantFrom(-1, -1, 0, 1),
    })
    .map(({ here, places, locked }) => {
      const seats: Record<string, string[]>[] = [{}, {}, {}]
      said.children.forEach((id, at) => {
        const [group, role] = places[at] ?? [0, null]
        if (role) (seats[group] ??= {})[role] = [...(seats[group]?.[role] ?? []), id]
      })
      const formed = seats
        .filter((one) => Object.keys(one).length)
        .map((one, at) => ({ id: `group ${at}`, seats: one, locked: at === locked }))
      return { tonight: tonightWith(said, here), formed }
    }),
)
