/** A small map as the server would draw it, for tests. */
import type { Edge, MapBody, Node } from './graph'

function card(key: string, name: string, layer: number, x: number, roles: Node['roles']): Node {
  const kind = 'skill' as const
  const tier = layer === 3 ? 'low' : 'floor'
  return { key, kind, card: key, layer, x, name, family: 'hold', lifted: layer === 3, tier, roles, changed: null }
}

function edge(from: string, to: string, needs: Edge['needs'], points: number[][]): Edge {
  const kind = to === 'seat.1' ? 'any_of' : 'all_of'
  return { from, to, kind, needs, circle: false, runs: 'up', points, changed: null }
}

const plain = { role: 'solo', of_role: 'solo', help: 'no_spot' } as const

/** `plank` ← `raised`; `seat` needs `plank` as base and, as flyer, one of `arch` and `raised`. */
export const SAMPLE: MapBody = {
  number: 1,
  against: null,
  families: [{ key: 'hold', name: 'Holding' }],
  width: 4,
  layers: 4,
  nodes: [
    card('plank', 'Plank', 0, 0.5, ['solo']),
    card('arch', 'Arch', 0, 2.5, ['solo']),
    card('raised', 'Plank, feet raised', 1, 0.5, ['solo']),
    { ...card('seat.1', '', 2, 1.5, []), kind: 'one_of', card: 'seat', name: null, family: null },
    card('seat', 'Seat', 3, 2, ['base', 'flyer', 'spotter']),
  ],
  edges: [
    edge('plank', 'raised', [plain], [[0.5, 0], [0.5, 1]]),
    edge('plank', 'seat', [{ role: 'base', of_role: 'solo', help: 'hands_near' }], [[0.5, 0], [1.5, 1], [3.5, 3 - 1], [2, 3]]),
    edge('arch', 'seat.1', [{ ...plain, role: 'flyer' }], [[2.5, 0], [1.5, 2]]),
    edge('raised', 'seat.1', [{ ...plain, role: 'flyer' }], [[0.5, 1], [1.5, 2]]),
    edge('seat.1', 'seat', [{ role: 'flyer', of_role: null, help: null }], [[1.5, 2], [2, 3]]),
  ],
}
