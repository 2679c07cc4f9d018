/** Signing in by email and password: what is typed, whether it is asked, and what came of it. */
import type { SignInAnswer } from '../shell/session.svelte'
import { words } from '../words/words'

const said = words.signin

export class Asking {
  email = $state('')
  password = $state('')
  /** An answer is awaited. */
  busy = $state(false)
  /** In words; null where nothing is. */
  wrong = $state<string | null>(null)

  constructor(email: string) {
    this.email = email
  }

  /** Asks, one at a time: the answer, or null where something is wrong, which is then said. */
  async ask<T>(
    call: (email: string, password: string) => Promise<T>,
    wrongIn: (answer: T) => string | null,
  ): Promise<T | null> {
    if (this.busy) return null
    const { password } = this
    const email = this.email.trim()
    this.wrong = email && password ? null : said.missing
    if (this.wrong) return null
    this.busy = true
    try {
      const answer = await call(email, password)
      this.wrong = wrongIn(answer)
      return this.wrong === null ? answer : null
    } catch {
      this.wrong = said.notDone
      return null
    } finally {
      this.busy = false
    }
  }
}

/** What a sign-in has come to; null where it is done, or where the page shows what comes next. */
export function wrongIn(answer: SignInAnswer): string | null {
  switch (answer.is) {
    case 'wrong':
      return said.wrong
    case 'no_signal':
      return said.noSignal
    case 'nowhere':
      return said.nowhere
    case 'too_often':
      return said.tooOften(answer.wait_ms === null ? null : Math.ceil(answer.wait_ms / 60_000))
    default:
      return null
  }
}
