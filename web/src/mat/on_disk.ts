import { notices } from '../parts/notices.svelte'
import { words } from '../words/words'

/** What a write answers once it is on this phone; null where it is not, which is then said. */
export async function onDisk<T>(write: Promise<T>): Promise<T | null> {
  try {
    return await write
  } catch {
    notices.fail(words.shell.notSaved)
    return null
  }
}
