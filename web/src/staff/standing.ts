/** Whose access holds when: at the desk, and where adults are named for an evening. */
import type { components } from '../api/schema'

export type Member = components['schemas']['Member']

/** Whether her access holds on a day; `later`: it begins after it. */
export function standing(member: Member, day: string): 'holds' | 'later' | 'ended' | 'revoked' {
  if (member.revoked_at) return 'revoked'
  if (member.until && member.until < day) return 'ended'
  return member.from_date && member.from_date > day ? 'later' : 'holds'
}
