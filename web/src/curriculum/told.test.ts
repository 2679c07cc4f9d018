import { expect, test } from 'vitest'
import { inUseSaid, placed, type Edition, type Studio } from './told'

test.each([
  ['/skills/plank/roles/solo', 'plank', '/roles/solo'],
  ['/skills/plank', 'plank', ''],
  ['/succession/0/to', null, '/succession/0/to'],
])('%s leads to a card', (pointer, skill, inside) => {
  expect(placed({ pointer, detail: 'x' })).toEqual({ skill, pointer: inside, detail: 'x' })
})

test('where an edition is in use is said in the order of the studios', () => {
  const in_use = ['b', 'a'].map((studio) => ({ studio, from_date: '2026-05-01' }))
  const studios = ['a', 'b'].map((id) => ({ id, name: id.toUpperCase() })) as Studio[]
  expect(inUseSaid({ in_use } as Edition, studios)).toEqual([
    'A since 1 May 2026',
    'B since 1 May 2026',
  ])
  expect(inUseSaid({ in_use } as Edition, studios.slice(0, 1))).toEqual(['since 1 May 2026'])
  // A studio's first edition holds for tries of before, too.
  in_use[1]!.from_date = '2000-01-01'
  expect(inUseSaid({ in_use } as Edition, studios)).toEqual(['A from the start', 'B since 1 May 2026'])
})
