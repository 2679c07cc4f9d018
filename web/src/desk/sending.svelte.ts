/** What a form sends, and what the server says of it: of each field, and of the whole. */
import type { Asked, Method } from '../api/client'
import type { Reply } from '../api/reply'
import { phone } from '../shell/phone'
import { again } from '../signin/again.svelte'
import { atDesk } from '../words/at-desk'
import { changes } from './said'

export interface Answered<T> {
  readonly body: T
  readonly etag: string | null
}

interface Said {
  readonly detail?: string
  readonly errors?: readonly {
    readonly pointer?: string
    readonly code?: string
    readonly detail?: string
  }[]
}

/** What the API says of a field in which nothing stands. */
const EMPTY: ReadonlySet<string> = new Set(['blank', 'null', 'required'])

type Refusal = Extract<Reply, { is: 'refusal' }>

export class Sending {
  busy = $state.raw(false)
  /** Whether what is filled in is what the server has answered to. */
  saved = $state.raw(false)
  /** What is wrong with the whole, in words. */
  trouble = $state.raw<string | null>(null)
  /** The last refusal: what is asked before it goes on (409), or what stands by now (412). */
  refused = $state.raw<{ readonly status: number; readonly body: unknown } | null>(null)
  #wrong = $state.raw<ReadonlyMap<string, string>>(new Map())
  readonly #fields = new Set<string>()
  readonly #told: boolean

  /** `told`: whoever shows this tells every fault at its place, also those of no field. */
  constructor({ told = false } = {}) {
    this.#told = told
  }

  /** What is wrong with one field, by its JSON pointer; whoever asks shows it. */
  at(pointer: string): string | null {
    this.#fields.add(pointer)
    return this.#wrong.get(pointer) ?? null
  }

  /** What is filled in has changed: what was said is of something else. */
  touch(): void {
    this.saved = false
    this.refused = null
  }

  /** Null where it was refused or nobody answered: then `trouble`, `at` and `refused` say why. */
  async send<T = unknown>(
    method: Method,
    url: string,
    asked: Asked = {},
  ): Promise<Answered<T> | null> {
    this.busy = true
    try {
      const reply = await phone().ask(method, url, asked)
      this.#wrong = new Map()
      this.refused = null
      this.trouble = null
      this.saved = reply.is === 'answer'
      if (reply.is === 'answer') return { body: reply.body as T, etag: reply.etag }
      if (reply.is === 'silence') this.trouble = atDesk.desk.notSent
      else this.#refuse(reply)
      return null
    } finally {
      this.busy = false
    }
  }

  /** Sends what is said of a row: of one that stands what differs, of a further one (null) all. */
  keep(url: string, row: { readonly id: string } | null, before: object, now: object) {
    return row
      ? this.send('PATCH', `${url}/${row.id}`, { body: changes(before, now) })
      : this.send('POST', url, { body: now })
  }

  #refuse({ status, body, problem }: Refusal): void {
    if (problem.code === 'signed_out' || problem.code === 'other_member') {
      this.trouble = atDesk.desk.signInToSave
      again.open = true
      return
    }
    const said = (body ?? {}) as Said
    const errors = (said.errors ?? []).map(
      ({ pointer = '', detail = '' }) => [pointer, detail] as const,
    )
    this.#wrong = new Map(
      (said.errors ?? []).map(({ pointer = '', code = '', detail = '' }) => [
        pointer,
        EMPTY.has(code) ? atDesk.desk.fillIn : detail,
      ]),
    )
    this.refused = { status, body }
    // Where no field shows it, it is said of the whole.
    const untold = this.#told ? [] : errors
    const rest = untold.filter(([pointer]) => !this.#fields.has(pointer)).map(([, text]) => text)
    if (rest.length) this.trouble = atDesk.desk.refused(rest.join(' '))
    else if (errors.length && this.#told) this.trouble = atDesk.desk.lookBelow
    else if (errors.length) this.trouble = atDesk.desk.lookAtFields
    else this.trouble = said.detail ? atDesk.desk.refused(said.detail) : atDesk.desk.notSent
  }
}
