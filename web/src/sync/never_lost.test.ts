import 'fake-indexeddb/auto'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { openStore } from '../store/open'
import { KINDS, type Row } from '../store/row'
import { sample } from '../store/sample'
import { drain } from './sender'
import { FAULTS, Server, type Fault } from './server'

const written = fc
  .uniqueArray(fc.record({ kind: fc.constantFrom(...KINDS), id: fc.uuid() }), {
    selector: ({ id }) => id,
    minLength: 1,
    maxLength: 70,
  })
  .map((rows) => rows.map(({ kind, id }) => sample(kind, id) as Row))
const faults = fc.array(fc.constantFrom(...FAULTS), { maxLength: 40 })
/** What no server means for ever: the rows are well, and refusing them whole is a mishap. */
const passing = (fault: Fault) => fault !== 'too_large' && fault !== 'invalid'

let number = 0

async function played(rows: readonly Row[], said: readonly Fault[], senders: number) {
  const store = openStore(`never-lost-${number++}`)
  const server = new Server()
  server.faults = [...said]
  const sending = { store, ask: server.ask, now: () => 1, settled: () => {} }
  const half = Math.ceil(rows.length / 2)
  await store.add(rows.slice(0, half))
  await Promise.all(Array.from({ length: senders }, () => drain(sending)))
  await store.add(rows.slice(half))
  // Each time it ends before all is sent, somebody signs in again or a signal is back.
  for (let times = 0; times < said.length; times++) await drain(sending)
  server.faults = []
  const ended = await drain(sending)
  const found = await store.all()
  store.close()
  return { ended, found, server }
}

test('whatever is answered, each row is there once, and none is lost on the phone', async () => {
  await fc.assert(
    fc.asyncProperty(
      written,
      faults,
      fc.integer({ min: 1, max: 2 }),
      async (rows, said, senders) => {
        const { ended, found, server } = await played(rows, said.filter(passing), senders)
        expect(ended).toEqual({ is: 'done' })
        expect(found.map(({ id }) => id)).toEqual(rows.map(({ id }) => id))
        expect(new Set(found.map(({ state }) => state))).toEqual(new Set(['stored']))
        const sent = rows.filter(({ kind }) => kind !== 'lesson')
        const there = [...server.stored].filter(([key]) => !key.startsWith('/api'))
        expect(new Map(there)).toEqual(new Map(sent.map(({ kind, id }) => [`${kind} ${id}`, 1])))
      },
    ),
    { numRuns: 40 },
  )
}, 120_000)

test('whatever is refused, each row stays on the phone, settled or waiting', async () => {
  await fc.assert(
    fc.asyncProperty(written, faults, async (rows, said) => {
      const { ended, found, server } = await played(rows, said, 1)
      expect(ended).toEqual({ is: 'done' })
      expect(found.map(({ id }) => id)).toEqual(rows.map(({ id }) => id))
      for (const { kind, id, state, code } of found) {
        if (state === 'refused') expect(['too_large', 'invalid']).toContain(code)
        else expect(state).toBe('stored')
        if (state === 'stored' && kind !== 'lesson') {
          expect(server.stored.get(`${kind} ${id}`)).toBe(1)
        }
      }
    }),
    { numRuns: 40 },
  )
}, 120_000)
