/** Which skills have groups tonight, which could have, and what one line says of each. */
import type { Card, Tonight } from '../lesson/tonight'
import { freshest, groupsOf, studentsIn, type Source } from './seats'

export interface Line {
  readonly skill: string
  readonly name: string
  readonly source: Source
  /** Of those who are here, how many have a place. */
  readonly placed: number
  readonly here: number
  readonly groups: number
  /** Of groups made on this phone: whether the server has answered, and how. */
  readonly state: 'waiting' | 'stored' | 'refused'
}

export interface Suggested {
  readonly skill: string
  readonly name: string
  readonly says: string
  /** Where groups are proposed already. */
  readonly line: Line | null
}

export interface Overview {
  /** Kept or made, in teaching order. */
  readonly decided: readonly Line[]
  readonly suggested: readonly Suggested[]
  readonly others: readonly Pick<Card, 'skill' | 'name'>[]
}

export function overviewOf(tonight: Tonight): Overview {
  const lines = new Map<string, Line>()
  for (const card of tonight.cards.values()) {
    const line = lineOf(tonight, card)
    if (line) lines.set(card.skill, line)
  }
  const decided = [...lines.values()].filter((one) => one.source !== 'proposed')
  const taken = new Set(decided.map((one) => one.skill))
  const suggested = tonight.sheet.suggestions.groups
    .filter((one) => !taken.has(one.skill))
    .map(({ skill, name, says }) => ({ skill, name, says, line: lines.get(skill) ?? null }))
  for (const one of suggested) taken.add(one.skill)
  const others = [...tonight.cards.values()].filter(
    (card) => !card.alone && !card.habit && !taken.has(card.skill),
  )
  return { decided, suggested, others }
}

function lineOf(tonight: Tonight, { skill, skill_id, name }: Card): Line | null {
  const found = freshest(tonight, skill)
  if (!found) return null
  const groups = groupsOf(tonight, skill)
  const seated = new Set(groups.flatMap(({ seats }) => studentsIn(seats)))
  const here = tonight.children.filter((one) => one.state === 'here')
  const state = tonight.made.get(skill_id)?.row.state
  return {
    skill,
    name,
    source: found.source,
    placed: here.filter((one) => seated.has(one.id)).length,
    here: here.length,
    groups: groups.length,
    state: state === 'waiting' || state === 'refused' ? state : 'stored',
  }
}
