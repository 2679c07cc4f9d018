/** What the server has answered to a batch, row by row, as far as it can be understood. */
import type { Problem } from '../api/reply'
import type { Row } from '../store/row'
import type { Settled } from '../store/store'

const STATES: Readonly<Record<string, Settled['state']>> = {
  stored: 'stored',
  already_stored: 'stored',
  held: 'held',
  refused: 'refused',
}

/** By id, never by place. Rows that no answer names, or none that is known here, are left out. */
export function answersIn(body: unknown, sent: readonly Row[]): Settled[] {
  const said: unknown = (body as { rows?: unknown } | null)?.rows
  if (!Array.isArray(said)) return []
  const open = new Set(sent.map((row) => row.id))
  return said.flatMap((one: unknown) => {
    const { id, status, code, pointer, flags, version } = (one ?? {}) as Record<string, unknown>
    const state = typeof status === 'string' ? STATES[status] : undefined
    if (typeof id !== 'string' || !state || !open.delete(id)) return []
    return [
      {
        id,
        state,
        code: typeof code === 'string' ? code : null,
        pointer: typeof pointer === 'string' ? pointer : null,
        flags: Array.isArray(flags) ? flags.filter((flag) => typeof flag === 'string') : [],
        version: typeof version === 'number' ? version : null,
      },
    ]
  })
}

export function refused(row: Row, { code, pointer }: Problem): Settled {
  return { id: row.id, state: 'refused', code, pointer, flags: [], version: null }
}

export function stored(row: Row): Settled {
  return { id: row.id, state: 'stored', code: null, pointer: null, flags: [], version: null }
}
