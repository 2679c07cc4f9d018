/** A map as the server serves it, made ready to be asked what needs what. */
import type { components } from '../api/schema'

type Schemas = components['schemas']
export type MapBody = Schemas['Map']
export type Node = Schemas['MapNode']
export type Edge = Schemas['MapEdge']
export type JoinKind = 'one_of' | 'all_of'

export interface Graph {
  /** Cards alone, those without a name too: from the lowest layer on, from left to right. */
  readonly cards: readonly Node[]
  readonly nodes: ReadonlyMap<string, Node>
  /** The edges that come to a node, and those that leave it. */
  readonly into: ReadonlyMap<string, readonly Edge[]>
  readonly out: ReadonlyMap<string, readonly Edge[]>
}

export const isJoin = (node: Node): node is Node & { kind: JoinKind } =>
  node.kind === 'one_of' || node.kind === 'all_of'

export function graphOf({ nodes, edges }: Pick<MapBody, 'nodes' | 'edges'>): Graph {
  return {
    cards: nodes.filter((node) => !isJoin(node)),
    nodes: new Map(nodes.map((node) => [node.key, node])),
    into: by(edges, 'to'),
    out: by(edges, 'from'),
  }
}

function by(edges: readonly Edge[], end: 'from' | 'to'): Map<string, Edge[]> {
  const found = new Map<string, Edge[]>()
  for (const edge of edges) {
    const known = found.get(edge[end])
    if (known) known.push(edge)
    else found.set(edge[end], [edge])
  }
  return found
}

/** The cards that a card needs, whatever they join in before; each once. */
export function neededBy(graph: Graph, key: string): Node[] {
  return across(graph, key, graph.into, 'from')
}

/** The cards that need a card; each once. */
export function openedBy(graph: Graph, key: string): Node[] {
  return across(graph, key, graph.out, 'to')
}

/** How the need of one card for another is marked; null where nothing is compared. */
export function changeOf(graph: Graph, needed: string, by: string): Edge['changed'] {
  const edge = graph.out.get(needed)?.find(({ to }) => graph.nodes.get(to)!.card === by)
  return edge?.changed ?? null
}

/** The edges of a card, through its joining nodes and those of the cards that it opens. */
export function edgesOf(graph: Graph, key: string): Set<Edge> {
  const found = new Set<Edge>()
  const follow = (at: string, edges: Graph['into'], end: 'from' | 'to') => {
    for (const edge of edges.get(at) ?? []) {
      found.add(edge)
      if (isJoin(graph.nodes.get(edge[end])!)) follow(edge[end], edges, end)
    }
  }
  follow(key, graph.into, 'from')
  follow(key, graph.out, 'to')
  return found
}

function across(graph: Graph, key: string, edges: Graph['into'], end: 'from' | 'to'): Node[] {
  const found = new Set<Node>()
  const follow = (at: string) => {
    for (const edge of edges.get(at) ?? []) {
      const node = graph.nodes.get(edge[end])!
      if (isJoin(node)) follow(node.key)
      else if (node.key !== key) found.add(node)
    }
  }
  follow(key)
  return [...found]
}
