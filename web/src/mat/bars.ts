/** What keeps a child from a skill tonight, in words; the log still takes what has happened. */
import type { Card, Child, Role, Tonight } from '../lesson/tonight'
import { words } from '../words/words'

export function barsOf(now: Tonight, card: Card, child: Child, role: Role): string[] {
  const line = child.skills.find((one) => one.skill === card.skill && one.role === role)
  const fell = now.closed.get(card.skill_id)?.has(child.id)
  return [
    ...(child.state === 'not_today' ? [words.mat.notToday] : []),
    ...(fell ? [words.mat.closed] : []),
    ...(line?.stopped ? [line.says] : []),
    // Of a child whom the server has not told of nothing is known, least of all for a lift.
    ...(!line && child.trial && card.lifted ? [words.mat.onTrial] : []),
  ]
}
