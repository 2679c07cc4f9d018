/** The skills to open a station with: what tonight is about first. */
import type { Card, Tonight } from '../lesson/tonight'
import { words } from '../words/words'

export interface Listed {
  readonly card: Card
  readonly says: readonly string[]
}

export interface Stations {
  /** What carries on from last time, then what has groups. */
  readonly tonight: readonly Listed[]
  /** What else was tried tonight. */
  readonly used: readonly Listed[]
  readonly suggested: readonly Listed[]
  readonly families: readonly { readonly family: string; readonly listed: readonly Listed[] }[]
}

export function stationsOf(now: Tonight): Stations {
  const { groups, alone } = now.sheet.suggestions
  const suggestions = [...groups, ...alone]
  const all = [...now.cards.values()]
  const carriedOn = suggestions.filter((one) => one.carries_on).map((one) => one.skill)
  const made = all.filter((card) => now.made.has(card.skill_id))
  const kept = now.sheet.kept.filter((one) => one.groups.length > 0)
  const grouped = [...made, ...kept, ...now.sheet.proposed].map((one) => one.skill)
  const placed = (one: (typeof groups)[number]) =>
    words.mat.canBePlaced(one.can_be_placed, now.children.length, one.worked_out)
  const says = new Map([
    ...groups.map((one) => [one.skill, placed(one)] as const),
    ...alone.map((one) => [one.skill, one.says] as const),
  ])
  const taken = new Set<string>()

  function listed(skills: readonly string[]): Listed[] {
    const fresh = [...new Set(skills)].filter((skill) => now.cards.has(skill) && !taken.has(skill))
    for (const skill of fresh) taken.add(skill)
    return fresh.map((skill) => {
      const card = now.cards.get(skill)!
      const tries = new Set(
        now.tries.filter((one) => one.skill_id === card.skill_id).map((one) => one.try_id),
      )
      return {
        card,
        says: [
          ...(carriedOn.includes(skill) ? [words.mat.carriesOn] : []),
          ...(tries.size > 0 ? [words.mat.triedTonight(tries.size)] : []),
          ...(says.has(skill) ? [says.get(skill)!] : []),
        ],
      }
    })
  }

  const used = all.filter((card) => now.tries.some((one) => one.skill_id === card.skill_id))
  return {
    tonight: listed([...carriedOn, ...grouped]),
    used: listed(used.map((card) => card.skill)),
    suggested: listed(suggestions.map((one) => one.skill)),
    families: [...new Set(all.map((card) => card.family))].map((family) => ({
      family,
      listed: all.filter((card) => card.family === family).map((card) => ({ card, says: [] })),
    })),
  }
}

/** Cards in whose name or family every word of the text begins a word. */
export function searched(now: Tonight, text: string): Listed[] {
  const asked = plain(text).split(/\s+/).filter(Boolean)
  return [...now.cards.values()]
    .filter((card) => {
      const said = ` ${plain(`${card.name} ${card.family}`)}`
      return asked.every((word) => said.includes(` ${word}`))
    })
    .map((card) => ({ card, says: [card.family] }))
}

function plain(text: string): string {
  return text
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
}
