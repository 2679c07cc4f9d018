import { expect, test } from 'vitest'
import type { Store } from '../../store/store'
import { putAside, refusedOf } from '../refused'
import { row } from './evening'

test('only what was refused and asks for somebody is put aside, of one skill', async () => {
  const seats = [{ base: ['Amara'], flyer: ['Bao'] }]
  const open = row(seats, { state: 'refused', code: 'newer' })
  const other = row(seats, { state: 'refused', code: 'newer' })
  const rows = [
    open,
    row(seats),
    row(seats, { state: 'stored' }),
    row(seats, { state: 'refused', aside: true }),
    { ...other, body: { ...other.body, skill_id: 'lean-id' } },
  ]
  const aside: string[] = []
  const store = {
    ofLesson: async () => rows,
    putAside: async (id: string) => void aside.push(id),
  } as unknown as Store
  await putAside(store, await refusedOf(store, 'lesson', 'seat-id'))
  expect(aside).toEqual([open.id])
})
