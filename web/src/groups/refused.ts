/** Rows of groups that the server has refused, once a person has looked at them. */
import type { Store } from '../store/store'

/** They ask for nobody any more: something else was chosen or made instead. */
export async function putAside(store: Store, lesson: string, skill_id: string): Promise<void> {
  for (const row of await store.ofLesson(lesson)) {
    const mine = row.kind === 'groups' && row.body.skill_id === skill_id
    if (mine && row.state === 'refused' && !row.aside) await store.putAside(row.id)
  }
}
