/** Asks the server: with the member whose phone this is, a token against forgery, a time-out. */
import { replyOf, SILENCE, type Reply } from './reply'

const TIME_OUT_MS = 15_000
export const SESSION = '/api/v1/session'

export interface Asked {
  readonly body?: unknown
  /** A file as it is, instead of a body. */
  readonly file?: { readonly type: string; readonly content: string | ArrayBuffer }
  /** Of what is known already: the answer is 304 where nothing is newer. */
  readonly etag?: string | null
  /** The version that was read before this changes it. */
  readonly version?: string
  /** Only where there is none of that name yet. */
  readonly fresh?: boolean
  /** Whose rows these are; without it whoever has signed in. */
  readonly member?: string
  /** How long to wait for the answer, where that is not as usual. */
  readonly patience_ms?: number
}

export type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE'
export type Ask = (method: Method, url: string, asked?: Asked) => Promise<Reply>

/** One answer: when it was asked for and when it came, by this phone's clock, and its own time. */
export interface Heard {
  readonly reply: Reply
  readonly sent_at: number
  readonly received_at: number
  readonly date: string | null
}

interface World {
  readonly fetch: (url: string, init: RequestInit) => Promise<Response>
  readonly cookies: () => string
  readonly now: () => number
  readonly heard: (heard: Heard) => void
}

export function client(world: World): Ask {
  return async function ask(method, url, asked = {}) {
    if (method === 'GET') return once(world, method, url, asked, null)
    const reply = await once(world, method, url, asked, await token(world, false))
    if (reply.is !== 'refusal' || reply.problem.code !== 'csrf_failed') return reply
    return once(world, method, url, asked, await token(world, true))
  }
}

/** The token is in a cookie that the server sets whenever it is asked who has signed in. */
async function token(world: World, anew: boolean): Promise<string | null> {
  const known = anew ? null : cookie(world.cookies(), 'csrftoken')
  if (known) return known
  await once(world, 'GET', SESSION, {}, null)
  return cookie(world.cookies(), 'csrftoken')
}

function cookie(all: string, name: string): string | null {
  // Over https its name begins with what keeps other hosts from setting it.
  const found = all.split('; ').find((one) => one.replace(/^__Host-/, '').startsWith(`${name}=`))
  return found ? found.slice(found.indexOf('=') + 1) : null
}

async function once(
  world: World,
  method: Method,
  url: string,
  { body, file, etag, version, fresh, member, patience_ms = TIME_OUT_MS }: Asked,
  csrf: string | null,
): Promise<Reply> {
  const headers: Record<string, string> = { Accept: 'application/json' }
  if (body !== undefined) headers['Content-Type'] = 'application/json'
  if (file) headers['Content-Type'] = file.type
  if (etag) headers['If-None-Match'] = etag
  if (version) headers['If-Match'] = version
  if (fresh) headers['If-None-Match'] = '*'
  if (member) headers['X-Member'] = member
  if (csrf) headers['X-CSRFToken'] = csrf
  const signal = AbortSignal.timeout(patience_ms)
  const sent_at = world.now()
  const init: RequestInit = {
    method,
    headers,
    signal,
    credentials: 'same-origin',
    // What this phone keeps of an answer it keeps itself, and the time on it must be fresh.
    cache: 'no-store',
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    ...(file && { body: file.content }),
  }
  let reply: Reply
  let date: string | null = null
  try {
    const response = await world.fetch(url, init)
    date = response.headers.get('Date')
    reply = await replyOf(response)
  } catch (error) {
    // A fetch that fails says why to nobody: no signal, a cut connection and our time-out alike.
    if (!(error instanceof TypeError) && !(error instanceof DOMException)) throw error
    reply = SILENCE
  }
  world.heard({ reply, sent_at, received_at: world.now(), date })
  return reply
}
