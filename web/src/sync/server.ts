/** A server for tests: it keeps what it is sent, each row once, and fails as it is told. */
import type { Ask } from '../api/client'
import type { Reply } from '../api/reply'
import { SILENCE } from '../api/reply'

interface Body {
  readonly id: string
}

export type Fault =
  | 'ok'
  | 'lost' // committed, and the answer never came
  | 'silent' // 500, a captive page, a time-out: nothing was committed
  | 'half' // committed, and only every other row is answered
  | 'twice' // each answer comes twice, in another order
  | 'nonsense' // 200 with JSON that is not ours
  | 'signed_out'
  | 'other_member'
  | 'too_many'
  | 'too_large'
  | 'invalid'
  | 'csrf'
  | 'gone'

export const FAULTS: readonly Fault[] = [
  'ok',
  'lost',
  'silent',
  'half',
  'twice',
  'nonsense',
  'signed_out',
  'other_member',
  'too_many',
  'too_large',
  'invalid',
  'csrf',
  'gone',
]

const REFUSALS: Partial<Record<Fault, [status: number, code: string]>> = {
  signed_out: [401, 'signed_out'],
  other_member: [409, 'other_member'],
  too_many: [429, 'too_many'],
  too_large: [413, 'too_large'],
  invalid: [400, 'invalid'],
  csrf: [403, 'csrf_failed'],
  gone: [410, 'gone'],
}

export class Server {
  /** What is there, by kind and id, and how often it was stored. */
  readonly stored = new Map<string, number>()
  readonly asked: { url: string; ids: string[] }[] = []
  faults: Fault[] = []
  /** What becomes of a row, where it is not just stored. */
  judge: (kind: string, row: Body) => Record<string, unknown> | null = () => null

  readonly ask: Ask = async (method, url, asked) => {
    const kind = url.split('/')[3]!
    const rows = method === 'PATCH' ? [] : ((asked?.body as { rows: Body[] }).rows ?? [])
    this.asked.push({ url, ids: rows.map((row) => row.id) })
    const fault = this.faults.shift() ?? 'ok'
    await null
    return method === 'PATCH' ? this.#change(url, fault) : this.#batch(kind, rows, fault)
  }

  #batch(kind: string, rows: readonly Body[], fault: Fault): Reply {
    const failed = this.#failed(fault)
    if (failed) return failed
    const answers = rows.map((row) => this.#take(kind, row))
    if (fault === 'lost') return SILENCE
    if (fault === 'half') return told(answers.filter((_, place) => place % 2 === 0))
    if (fault === 'twice') return told([...answers, ...answers].reverse())
    return told(answers)
  }

  #take(kind: string, row: Body): Record<string, unknown> {
    const judged = this.judge(kind, row)
    if (judged) return { id: row.id, ...judged }
    const known = this.stored.get(`${kind} ${row.id}`)
    if (known) return { id: row.id, status: 'already_stored' }
    this.stored.set(`${kind} ${row.id}`, 1)
    return { id: row.id, status: 'stored' }
  }

  #change(url: string, fault: Fault): Reply {
    const failed = this.#failed(fault)
    if (failed) return failed
    this.stored.set(url, (this.stored.get(url) ?? 0) + 1)
    return fault === 'lost' ? SILENCE : { is: 'answer', status: 200, body: {}, etag: null }
  }

  #failed(fault: Fault): Reply | null {
    if (fault === 'silent') return SILENCE
    if (fault === 'nonsense') return { is: 'answer', status: 200, body: { a: [1] }, etag: null }
    const refusal = REFUSALS[fault]
    if (!refusal) return null
    const [status, code] = refusal
    const wait_ms = status === 429 ? 3_000 : null
    return { is: 'refusal', status, problem: { code, pointer: null, wait_ms } }
  }
}

function told(rows: readonly Record<string, unknown>[]): Reply {
  return { is: 'answer', status: 200, body: { rows }, etag: null }
}
