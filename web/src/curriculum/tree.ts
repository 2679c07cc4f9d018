/** What a role needs, as a tree: a skill with the most help, or all or one of some trees. */

export type Join = 'all_of' | 'any_of'
export interface Leaf {
  readonly skill: string
  readonly role?: string
  readonly help: string
}
export type Tree = Leaf | { readonly [join in Join]?: readonly Tree[] }

export const JOINS: readonly Join[] = ['all_of', 'any_of']
export const HELPS = ['hands_on', 'hands_near', 'no_spot'] as const

export const isLeaf = (tree: Tree): tree is Leaf => 'skill' in tree

/** How the parts of a group are joined. */
export function joinOf(tree: Tree): Join {
  return 'any_of' in tree ? 'any_of' : 'all_of'
}

export function partsOf(tree: Tree): readonly Tree[] {
  return isLeaf(tree) ? [] : (tree[joinOf(tree)] ?? [])
}

export const group = (join: Join, parts: readonly Tree[]): Tree => ({ [join]: parts })

/** With a further part; a skill alone becomes a group of both. */
export function added(tree: Tree | undefined, part: Tree): Tree {
  if (!tree) return part
  if (isLeaf(tree)) return group('all_of', [tree, part])
  return group(joinOf(tree), [...partsOf(tree), part])
}

export function withPart(tree: Tree, index: number, part: Tree | undefined): Tree | undefined {
  const parts = partsOf(tree)
  const now = part
    ? parts.map((one, place) => (place === index ? part : one))
    : parts.filter((_, place) => place !== index)
  // A group of nothing asks nothing.
  return now.length ? group(joinOf(tree), now) : undefined
}

/** A group with its parts joined the other way. */
export const joined = (tree: Tree, join: Join): Tree =>
  isLeaf(tree) || join === joinOf(tree) ? tree : group(join, partsOf(tree))
