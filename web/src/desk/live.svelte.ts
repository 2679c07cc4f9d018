/** Documents that are read at the desk: with a signal alone, and kept nowhere on this machine. */
import { whole } from '../api/whole'
import { phone } from '../shell/phone'

const PATIENCE_MS = 45_000

export class Live<T> {
  body = $state.raw<T | null>(null)
  /** For If-Match where the document has a version. */
  etag = $state.raw<string | null>(null)
  /** Why it could not be read: no signal, or the status that was answered. */
  trouble = $state.raw<null | 'no_signal' | number>(null)
  readonly url: string
  #latest = 0

  constructor(url: string) {
    this.url = url
    void this.again()
  }

  /** Reads it anew; of two readings the one begun last counts. */
  async again(): Promise<void> {
    const mine = ++this.#latest
    const reply = await whole(phone().ask, this.url, { patience_ms: PATIENCE_MS })
    if (mine !== this.#latest) return
    if (reply.is === 'answer') {
      this.body = reply.body as T
      this.etag = reply.etag
      this.trouble = null
    } else {
      this.trouble = reply.is === 'silence' ? 'no_signal' : reply.status
    }
  }
}
