import { expect, test } from 'vitest'
import { found } from './found'

const PEOPLE = ['Zola', 'Clíodhna', 'Nguyệt', 'Amara'].map((name) => ({ id: name, name }))

test('everybody but those who are on the list, alphabetically', () => {
  const names = found(PEOPLE, [{ id: 'Zola', name: 'Zola' }], '').map((one) => one.name)
  expect(names).toEqual(['Amara', 'Clíodhna', 'Nguyệt'])
})

test.each([
  ['clio', 'Clíodhna'],
  ['NGUYET', 'Nguyệt'],
])('%s finds %s', (search, name) => {
  expect(found(PEOPLE, [], search).map((one) => one.name)).toEqual([name])
})

test('at most eight are shown', () => {
  const many = Array.from({ length: 20 }, (_, n) => ({ id: `${n}`, name: `Ada ${n}` }))
  expect(found(many, [], 'ada')).toHaveLength(8)
})
