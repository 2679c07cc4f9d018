/** Another hold in which a child who is still to place has a place tonight. */
import type { Tonight } from '../lesson/tonight'
import { words } from '../words/words'
import { freshest, groupsOf, studentsIn } from './seats'

export function elsewhere(tonight: Tonight, skill: string, student: string): string | null {
  for (const card of tonight.cards.values()) {
    if (card.skill === skill || card.alone) continue
    const found = freshest(tonight, card.skill)
    if (!found || found.source === 'proposed') continue
    const placed = groupsOf(tonight, card.skill).some(({ seats }) =>
      studentsIn(seats).includes(student),
    )
    if (placed) return words.groups.placeIn(card.name)
  }
  return null
}
