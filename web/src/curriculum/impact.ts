/** What an edition would change for children: by child, and once for all what comes or goes. */
import type { components } from '../api/schema'
import { atDesk } from '../words/at-desk'
import { words } from '../words/words'

type Child = components['schemas']['ChildImpact']
type Role = components['schemas']['RoleImpact']

/** Where she stands in a skill that stays, and where she would, in lines. */
export function roleLines({ role, what, before, after }: Role): string[] {
  if (!before || !after) return []
  const said = atDesk.curriculum.impact
  return [
    said.role(said.whats[what], after.name, words.shell.role[role]),
    said.now(before.says),
    said.then(after.says),
  ]
}

/** Skills and roles that are new there or taught no more, each with all who are ready for it. */
export function comeOrGo(children: readonly Child[]): string[] {
  const said = atDesk.curriculum.impact
  const ready = new Map<string, string[]>()
  for (const { student, roles } of children) {
    for (const { role, before, after } of roles) {
      const one = after ?? before
      if (!one || (before && after)) continue
      const line = (after ? said.newThere : said.taughtNoMore)(one.name, words.shell.role[role])
      ready.set(line, [...(ready.get(line) ?? []), student.name])
    }
  }
  return [...ready].map(([line, names]) => said.ready(line, names))
}
