/** What the client has to tell at once: read out, and shown above the bar for a while. */
export interface Notice {
  readonly id: number
  readonly text: string
  /** Nothing was written: it stays until it is closed. */
  readonly grave: boolean
  readonly act?: { readonly text: string; readonly run: () => void }
}

const SHOWN_MS = 6000
let next = 0

class Notices {
  list = $state<Notice[]>([])

  say(text: string, act?: Notice['act']): void {
    const id = this.#put({ text, grave: false, ...(act ? { act } : {}) })
    setTimeout(() => this.close(id), SHOWN_MS)
  }

  /** What was entered is not on this phone. */
  fail(text: string): void {
    this.#put({ text, grave: true })
  }

  close(id: number): void {
    this.list = this.list.filter((one) => one.id !== id)
  }

  #put(notice: Omit<Notice, 'id'>): number {
    const id = next++
    // One thing at a time is read beside the mat; what failed stays.
    this.list = [...this.list.filter((one) => one.grave), { ...notice, id }]
    return id
  }
}

export const notices = new Notices()
