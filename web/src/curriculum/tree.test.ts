import { expect, test } from 'vitest'
import { added, group, joined, withPart, type Leaf, type Tree } from './tree'

const leaf = (skill: string): Leaf => ({ skill, help: 'no_spot' })
const [a, b, c] = ['a', 'b', 'c'].map(leaf) as [Leaf, Leaf, Leaf]

test.each<[string, Tree | undefined, Tree | undefined]>([
  ['a first need stands alone', added(undefined, a), a],
  ['a second joins the first', added(a, b), { all_of: [a, b] }],
  ['a third comes last', added(group('any_of', [a, b]), c), { any_of: [a, b, c] }],
  ['one goes', withPart(group('any_of', [a, b]), 0, undefined), { any_of: [b] }],
  ['the last one goes with its group', withPart(group('all_of', [a]), 0, undefined), undefined],
  ['one is changed', withPart(group('all_of', [a, b]), 1, c), { all_of: [a, c] }],
  ['all of become one of', joined(group('all_of', [a, b]), 'any_of'), { any_of: [a, b] }],
])('%s', (_, found, tree) => {
  expect(found).toEqual(tree)
})

test('deep down only the way there changes', () => {
  const inner = group('any_of', [a, b])
  const tree = group('all_of', [inner, c])
  const now = withPart(tree, 0, withPart(inner, 1, undefined))
  expect(now).toEqual({ all_of: [{ any_of: [a] }, c] })
  expect(tree).toEqual({ all_of: [{ any_of: [a, b] }, c] })
})
