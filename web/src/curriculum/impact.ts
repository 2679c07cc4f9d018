/** What an edition would change for one child, in lines: where she stood, and where she would. */
import type { components } from '../api/schema'
import { atDesk } from '../words/at-desk'
import { words } from '../words/words'

type Role = components['schemas']['RoleImpact']

export function roleLines({ role, what, before, after }: Role): string[] {
  const said = atDesk.curriculum.impact
  const name = (after ?? before)?.name ?? ''
  const lines = [said.role(said.whats[what], name, words.shell.role[role])]
  lines.push(before ? said.now(before.says) : said.newThere)
  lines.push(after ? said.then(after.says) : said.taughtNoMore)
  return lines
}
