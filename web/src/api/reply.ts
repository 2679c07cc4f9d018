/** What the server, or something that pretends to be it, has said to a request. */

export type Reply =
  | {
      readonly is: 'answer'
      readonly status: number
      readonly body: unknown
      readonly etag: string | null
    }
  | {
      readonly is: 'refusal'
      readonly status: number
      readonly problem: Problem
      /** The whole document, for forms that tell of each field. */
      readonly body?: unknown
    }
  /** Nobody answered, or nobody who speaks for the server: no signal, a hall's sign-in page. */
  | { readonly is: 'silence' }

export interface Problem {
  readonly code: string
  readonly pointer: string | null
  /** How long to wait before asking again, in ms, where it was said. */
  readonly wait_ms: number | null
}

export const SILENCE: Reply = { is: 'silence' }

/** What any server between here and there may say of itself, in whatever type. */
const SAID_BY_ANYONE: Record<number, string> = { 413: 'too_large', 429: 'too_many' }

export async function replyOf(response: Response): Promise<Reply> {
  const { status, headers } = response
  if (status === 304) return { is: 'answer', status, body: null, etag: headers.get('ETag') }
  if (response.redirected || status >= 500) return SILENCE
  if (status === 204) return { is: 'answer', status, body: null, etag: null }
  const body = await jsonOf(response)
  if (response.ok) {
    return body === undefined ? SILENCE : { is: 'answer', status, body, etag: headers.get('ETag') }
  }
  const said = SAID_BY_ANYONE[status]
  if (body === undefined && !said) return SILENCE
  const { code, pointer } = problemOf(body)
  const wait_ms = waitOf(headers.get('Retry-After'))
  return { is: 'refusal', status, problem: { code: code || said || '', pointer, wait_ms }, body }
}

async function jsonOf(response: Response): Promise<unknown> {
  if (!/^application\/([a-z.-]+\+)?json\b/.test(response.headers.get('Content-Type') ?? ''))
    return undefined
  try {
    return await response.json()
  } catch (error) {
    if (error instanceof SyntaxError) return undefined
    throw error
  }
}

function problemOf(body: unknown): { code: string; pointer: string | null } {
  const { code, errors } = (body ?? {}) as { code?: unknown; errors?: unknown }
  const first: unknown = Array.isArray(errors) ? errors[0] : undefined
  const inner = (first ?? {}) as { code?: unknown; pointer?: unknown }
  const said = [code, inner.code].find((one) => typeof one === 'string')
  return {
    code: (said as string | undefined) ?? '',
    pointer: typeof inner.pointer === 'string' ? inner.pointer : null,
  }
}

function waitOf(said: string | null): number | null {
  if (!said) return null
  const wait = /^\d+$/.test(said) ? Number(said) * 1000 : Date.parse(said) - Date.now()
  return Number.isFinite(wait) ? Math.max(0, wait) : null
}
