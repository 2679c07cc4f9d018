/** The rows of a member on this phone: what waits to be sent, and what became of the rest. */
import type { Database, Reading, Writing } from './database'
import { forgetNaming, forgetUnread } from './reads'
import { about, readable, type Bodies, type Kind, type Row, type RowOf } from './row'
import type { Counts, Settled } from './store'

const KEPT_DAYS = 7
const A_DAY_MS = 24 * 3600 * 1000

export async function add(disk: Database, rows: readonly Row[]): Promise<void> {
  await disk.write(['rows'], async (writing) => {
    for (const row of rows) await writing.objectStore('rows').add(row)
  })
}

/** In the order in which they were written. */
export function waiting(disk: Database, kind: Kind, most: number): Promise<Row[]> {
  return disk.read(['rows'], async (reading) => {
    const rows = reading.objectStore('rows').index('state_kind')
    return (await rows.getAll(['waiting', kind], most)).map(readable)
  })
}

export function ofLesson(disk: Database, lesson: string): Promise<Row[]> {
  return disk.read(['rows'], (reading) => rowsOf(reading, lesson))
}

export function all(disk: Database): Promise<Row[]> {
  return disk.read(['rows'], async (reading) =>
    (await reading.objectStore('rows').getAll()).map(readable),
  )
}

export function counts(disk: Database): Promise<Counts> {
  return disk.read(['rows'], async (reading) => {
    const rows = reading.objectStore('rows').index('state_kind')
    const [first, waiting, tries, held, refused] = await Promise.all([
      rows.openCursor(inState('waiting'), 'nextunique'),
      rows.count(inState('waiting')),
      rows.count(['waiting', 'attempts']),
      rows.count(inState('held')),
      rows.getAll(inState('refused')),
    ])
    // The first of each kind, one that only a newer build knows too: it waits as well.
    const times: number[] = []
    for (let at = first; at; at = await at.continue()) times.push(at.value.made_at)
    return {
      waiting,
      tries,
      held,
      refused: refused.filter((row) => !readable(row).aside).length,
      since: times.length ? Math.min(...times) : null,
    }
  })
}

/** An answer to what another tab has settled already says nothing new. */
export async function settle(
  disk: Database,
  answers: readonly Settled[],
  now: number,
): Promise<void> {
  await disk.write(['rows', 'reads'], async (writing) => {
    const erased: string[] = []
    for (const { id, ...said } of answers) {
      const row = await change(writing, id, (row) =>
        row.state === 'waiting' ? { ...row, ...said, settled_at: now } : row,
      )
      if (row?.kind === 'groups') await follow(writing, row)
      const child = row && said.code === 'erased' ? about(row) : null
      if (child) erased.push(child)
    }
    if (!erased.length) return
    await forgetWhere(writing, (row) => erased.includes(about(row) ?? ''))
    await forgetNaming(writing, erased)
  })
}

export async function again(
  disk: Database,
  id: string,
  corrected: Partial<Bodies['students']>,
): Promise<void> {
  await disk.write(['rows'], async (writing) => {
    const row = await change(writing, id, (row) =>
      row.kind === 'students'
        ? waits({ ...row, body: { ...row.body, ...corrected, id } })
        : waits(row),
    )
    if (row?.kind !== 'students') return
    for (const one of await rowsOf(writing, row.lesson)) {
      if (one.code === 'unknown' && about(one) === id) await change(writing, one.id, waits)
    }
  })
}

export async function putAside(disk: Database, id: string): Promise<void> {
  await disk.write(['rows'], (writing) =>
    change(writing, id, (row) => ({ ...row, aside: row.state === 'refused' })),
  )
}

export async function forgetOld(disk: Database, today: string): Promise<void> {
  const now = Date.parse(today)
  const last = new Date(now - KEPT_DAYS * A_DAY_MS).toISOString().slice(0, 10)
  await disk.write(['rows', 'reads'], async (writing) => {
    await forgetWhere(writing, (row) => row.on < last && !asks(row))
    await forgetUnread(writing, now)
  })
}

/** Documents hold names of children, and so does a row that made one; the server has both now. */
export async function forgetNames(disk: Database): Promise<void> {
  await disk.write(['rows', 'reads'], async (writing) => {
    await writing.objectStore('reads').clear()
    await forgetWhere(writing, (row) => row.kind === 'students' && row.state === 'stored')
  })
}

/** Whether it still asks for somebody: the server, or a person. */
function asks(row: Row): boolean {
  return row.state === 'waiting' || (row.state === 'refused' && !row.aside)
}

function waits(row: Row): Row {
  const unsaid = { code: null, pointer: null, settled_at: null, aside: false }
  return row.state === 'refused' ? { ...row, ...unsaid, state: 'waiting' } : row
}

/**
 * Groups that wait and were made on top of these are from now on made out of what stands: this
 * phone's own change is nothing newer to it.
 */
async function follow(writing: Writing, row: RowOf<'groups'>): Promise<void> {
  if (row.state !== 'stored' || row.version === null) return
  const { skill_id, based_on } = row.body
  for (const one of await rowsOf(writing, row.lesson)) {
    if (one.kind !== 'groups' || one.state !== 'waiting') continue
    if (one.body.skill_id !== skill_id || one.body.based_on !== based_on) continue
    const body = { ...one.body, based_on: row.version }
    await change(writing, one.id, () => ({ ...one, body }))
  }
}

async function rowsOf(within: Reading | Writing, lesson: string): Promise<Row[]> {
  const rows = (within as Reading).objectStore('rows').index('lesson')
  return (await rows.getAll(lesson)).map(readable)
}

function inState(state: Row['state']): IDBKeyRange {
  return IDBKeyRange.bound([state], [state, []])
}

async function change(
  writing: Writing,
  id: string,
  changed: (row: Row) => Row,
): Promise<Row | null> {
  const cursor = await writing.objectStore('rows').index('id').openCursor(id)
  if (!cursor) return null
  const row = changed(readable(cursor.value))
  await cursor.update(row)
  return row
}

async function forgetWhere(writing: Writing, goes: (row: Row) => boolean): Promise<void> {
  let cursor = await writing.objectStore('rows').openCursor()
  while (cursor) {
    if (goes(readable(cursor.value))) await cursor.delete()
    cursor = await cursor.continue()
  }
}
