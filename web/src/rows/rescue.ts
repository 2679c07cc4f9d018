/** Tries that wait on a phone whose member cannot sign in any more, as files for a head teacher. */
import { localDate } from '../parts/when'
import { openStore } from '../store/open'
import type { Row } from '../store/row'

/** A body may be 256 KB at most. */
const MOST_ROWS = 250

export interface Rescue {
  readonly member: string
  readonly rows: readonly Extract<Row, { kind: 'attempts' }>['body'][]
}

/** What `POST /api/v1/attempts/rescue` takes: tries alone, in as many files as need be. */
export function rescues(member: string, rows: readonly Row[]): Rescue[] {
  const tries = rows.flatMap((row) =>
    row.kind === 'attempts' && row.state === 'waiting' ? [row.body] : [],
  )
  const files: Rescue[] = []
  for (let from = 0; from < tries.length; from += MOST_ROWS) {
    files.push({ member, rows: tries.slice(from, from + MOST_ROWS) })
  }
  return files
}

export async function saveRescue(member: string): Promise<void> {
  const store = openStore(member)
  const files = rescues(member, await store.all())
  store.close()
  for (const [place, file] of files.entries()) {
    save(`tries-${localDate(Date.now())}-${place + 1}.json`, JSON.stringify(file))
  }
}

/** The file's content if it is one of these; null otherwise. */
export function rescueIn(text: string): Rescue | null {
  let said: unknown
  try {
    said = JSON.parse(text)
  } catch {
    return null // whoever chose the file is told
  }
  const { member, rows } = (said ?? {}) as Partial<Rescue>
  return typeof member === 'string' && Array.isArray(rows) ? { member, rows } : null
}

function save(name: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: 'application/json' }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  URL.revokeObjectURL(url)
}
