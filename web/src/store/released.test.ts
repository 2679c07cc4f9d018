import 'fake-indexeddb/auto'
import { openDB } from 'idb'
import { expect, test } from 'vitest'
import { KINDS } from './row'
import { databaseName } from './database'
import { openStore } from './open'
import released from './released.json'

const { waiting, settled } = released['1']

/** The database as the first release made it; its shape is history and never changes here. */
async function writtenBefore(member: string, rows: readonly unknown[]): Promise<void> {
  const db = await openDB(databaseName(member), 1, {
    upgrade(made) {
      const table = made.createObjectStore('rows', { autoIncrement: true })
      table.createIndex('id', 'id', { unique: true })
      table.createIndex('lesson', 'lesson')
      table.createIndex('state_kind', ['state', 'kind'])
      made.createObjectStore('reads', { keyPath: 'url' })
      made.createObjectStore('choices')
    },
  })
  for (const row of rows) await db.add('rows', row)
  db.close()
}

test('every row that a released build has written is read as it was, and waits', async () => {
  await writtenBefore('one', [...waiting, ...settled])
  const store = openStore('one')
  const all = await store.all()
  expect(all).toEqual([...waiting, ...settled])
  const found = await Promise.all(KINDS.map((kind) => store.waiting(kind, 100)))
  expect(found.flat().map((row) => row.body)).toEqual(waiting.map((row) => row.body))
  store.close()
})

test('every kind of row has a sample', () => {
  expect(new Set(waiting.map((row) => row.kind))).toEqual(new Set(KINDS))
})

test('what a row did not hold when it was written is as if nobody had said it', async () => {
  const { id, kind, body, lesson, on, made_at, state } = waiting[0]!
  await writtenBefore('two', [{ id, kind, body, lesson, on, made_at, state }])
  const store = openStore('two')
  expect(await store.all()).toEqual([waiting[0]])
  store.close()
})
