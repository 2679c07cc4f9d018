/** What a sign-in has come to, in words. */
import type { SignInAnswer } from '../shell/session.svelte'
import { words } from '../words/words'

/** Null where it is done, or where the page shows what comes next. */
export function wrongOf(answer: SignInAnswer): string | null {
  const said = words.signin
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
