/** What the map says of a card, in words. */
import { atDesk } from '../words/at-desk'
import {
  changeOf,
  isJoin,
  openedBy,
  type Edge,
  type Graph,
  type MapBody,
  type Node,
} from './graph'
import { sentencesOf, wordsOf, type Laid } from './laid'
import type { Part } from './wrap'

const said = atDesk.map

/** One thing that a card needs: a card, or a choice between some. */
export interface Need {
  /** Of the card; null of a choice. */
  readonly key: string | null
  readonly says: readonly string[]
  /** Whether it leads back to itself, which is a fault. */
  readonly circle: boolean
  readonly kind: Node['kind']
  readonly of: readonly Need[]
}

export type Families = ReadonlyMap<string, string>

export const familiesOf = ({ families }: Pick<MapBody, 'families'>): Families =>
  new Map(families.map(({ key, name }) => [key, name]))

export const nameOf = (node: Node): string => node.name ?? node.key

/**
 * What a card needs, as a tree: all of it, unless a choice says otherwise. What changed is said of
 * each, but for a card that is new or gone as a whole.
 */
export function needsOf(graph: Graph, key: string): Need[] {
  const card = graph.nodes.get(key)!
  const marks = card.changed !== 'added' && card.changed !== 'gone'
  return (graph.into.get(key) ?? []).map((edge) => need(graph, edge, card, true, marks))
}

function need(graph: Graph, edge: Edge, card: Node, withRole: boolean, marks: boolean): Need {
  const start = graph.nodes.get(edge.from)!
  const tells = withRole && card.roles.length > 1
  const marked = (text: string) => (marks ? said.marked(text, edge.changed) : text)
  const { circle } = edge
  if (isJoin(start)) {
    const as = tells ? edge.needs.map(({ role }) => role) : []
    // Of a choice that is new, each part is.
    const each = marks && edge.changed !== 'added'
    const into = graph.into.get(start.key) ?? []
    const of = into.map((one) => need(graph, one, card, false, each))
    const says = [marked(said.joined(as, start.kind))]
    return { key: null, says, circle, kind: start.kind, of }
  }
  const says = edge.needs.map(({ role, of_role, help }) =>
    marked(
      said.need(tells ? [role] : [], nameOf(start), start.roles.length > 1 ? of_role : null, help),
    ),
  )
  return { key: start.key, says, circle, kind: start.kind, of: [] }
}

/** A need in one piece, what it may be chosen from in brackets. */
export function inOne({ says, kind, of }: Need): string {
  if (kind !== 'one_of' && kind !== 'all_of') return says.join('; ')
  return said.choice(says.join('; '), kind, of.map(inOne))
}

export function needsSaid(graph: Graph, key: string): string {
  const needs = needsOf(graph, key)
  return needs.length ? said.needsAll(needs.map(inOne)) : said.needsNothing
}

/** A card that another one opens, by its name. */
export function openSaid(graph: Graph, key: string, opened: Node): string {
  return said.marked(nameOf(opened), changeOf(graph, key, opened.key))
}

export function opensSaid(graph: Graph, key: string): string {
  const names = openedBy(graph, key).map((one) => openSaid(graph, key, one))
  return names.length ? said.opensAll(names) : said.opensNothing
}

/** What a card is: family, height, roles; what changed. */
export function aboutOf(node: Node, families: Families): string[] {
  if (node.kind === 'unknown') return [said.noCard]
  return [
    node.changed && node.changed !== 'same' ? said.changed[node.changed] : '',
    families.get(node.family ?? '') ?? '',
    node.tier ? said.kind(node.tier, node.lifted ?? false) : '',
    said.rolesOf(node.roles),
  ].filter(Boolean)
}

/** All that is told of a card, in sentences: its name for whoever hears the picture. */
export function sentenceOf(
  graph: Graph,
  node: Node,
  families: Families,
  laid: Laid | null,
): string {
  return said.sentence([
    nameOf(node),
    ...aboutOf(node, families),
    ...sentencesOf(laid?.of.get(node.key) ?? []),
    needsSaid(graph, node.key),
    opensSaid(graph, node.key),
  ])
}

/** What stands in a card, what matters most first. */
export function partsOf(node: Node, families: Families, laid: Laid | null): (Part & {
  kind: 'name' | 'soft' | 'word'
})[] {
  const name = { text: nameOf(node), kind: 'name', must: true } as const
  const word = (text: string) => ({ text, kind: 'word', must: true }) as const
  const soft = (text: string) => ({ text, kind: 'soft', must: false }) as const
  if (node.kind === 'unknown') return [name, word(said.noCard)]
  const changed = node.changed && node.changed !== 'same' ? said.changed[node.changed] : ''
  return [
    name,
    word(changed),
    word(wordsOf(laid?.of.get(node.key) ?? [])),
    soft(families.get(node.family ?? '') ?? ''),
    soft(node.tier ? said.kind(node.tier, node.lifted ?? false) : ''),
  ]
}
