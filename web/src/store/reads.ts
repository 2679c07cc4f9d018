/** Documents of the server, kept for when there is no signal. They hold names. */
import type { Database, Writing } from './database'
import type { Read } from './store'

const KEPT_MS = 28 * 24 * 3600 * 1000

export function read(disk: Database, url: string): Promise<Read | undefined> {
  return disk.read(['reads'], (reading) => reading.objectStore('reads').get(url))
}

export async function keep(disk: Database, one: Read): Promise<void> {
  await disk.write(['reads'], (writing) => writing.objectStore('reads').put(one))
}

/** Those that name one of these children. */
export async function forgetNaming(writing: Writing, children: readonly string[]): Promise<void> {
  await forgetWhere(writing, ({ body }) => {
    const text = JSON.stringify(body)
    return children.some((child) => text.includes(child))
  })
}

/** Those that were not read for four weeks. */
export async function forgetUnread(writing: Writing, now: number): Promise<void> {
  await forgetWhere(writing, ({ read_at }) => read_at < now - KEPT_MS)
}

async function forgetWhere(writing: Writing, goes: (one: Read) => boolean): Promise<void> {
  let cursor = await writing.objectStore('reads').openCursor()
  while (cursor) {
    if (goes(cursor.value)) await cursor.delete()
    cursor = await cursor.continue()
  }
}
