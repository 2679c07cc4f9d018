/** Lists of the server come in pages; a document is all of them. */
import type { Ask, Asked } from './client'
import { SILENCE, type Reply } from './reply'

interface Page {
  readonly rows: readonly unknown[]
  readonly next: string | null
}

/** What is answered to GET; of a list with the rows of all its pages, or why one did not come. */
export async function whole(ask: Ask, url: string, asked: Asked): Promise<Reply> {
  const first = await ask('GET', url, asked)
  if (first.is !== 'answer' || !isPage(first.body) || first.body.next === null) return first
  const rows = [...first.body.rows]
  const after = `${url}${url.includes('?') ? '&' : '?'}cursor=`
  for (let next: string | null = first.body.next; next !== null; ) {
    const reply = await ask('GET', after + encodeURIComponent(next), { ...asked, etag: null })
    if (reply.is !== 'answer') return reply
    if (!isPage(reply.body)) return SILENCE
    rows.push(...reply.body.rows)
    next = reply.body.next
  }
  // The first page may stay as it was where others change.
  return { ...first, etag: null, body: { ...first.body, rows, next: null } }
}

function isPage(body: unknown): body is Page {
  const { rows, next } = (body ?? {}) as Partial<Page>
  return Array.isArray(rows) && (next === null || typeof next === 'string')
}
