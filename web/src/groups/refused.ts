/** Rows of groups that the server has refused, until something else is chosen or made instead. */
import type { Store } from '../store/store'

/** The ids of those that ask for somebody. */
export async function refusedOf(store: Store, lesson: string, skill_id: string): Promise<string[]> {
  const rows = await store.ofLesson(lesson)
  return rows
    .filter((row) => row.kind === 'groups' && row.body.skill_id === skill_id)
    .filter((row) => row.state === 'refused' && !row.aside)
    .map((row) => row.id)
}

export async function putAside(store: Store, ids: readonly string[]): Promise<void> {
  for (const id of ids) await store.putAside(id)
}
