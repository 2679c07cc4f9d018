/** Rows for tests: of one lesson and one skill, each with its own number. */
import { made, type Bodies, type Kind, type Row, type RowOf } from './row'

export const LESSON = 'lesson'
export const ON = '2026-12-01'

const BODIES: { [K in Kind]: Omit<Bodies[K], 'id'> } = {
  students: { given_name: 'Juniper', class: 'class', on: ON },
  attendance: { revision: 1, student: 'child', class: 'class', on: ON, state: 'here' },
  attempts: {
    attempt: 'attempt',
    revision: 1,
    student: 'child',
    skill_id: 'skill',
    role: 'base',
    spot: 'hands_on',
    outcome: 'clean',
    weight: 'own',
    try_id: 'try',
    happened_at: '2026-12-01T17:04:00Z',
    clock_offset_ms: 0,
  },
  falls: {
    student: 'child',
    skill_id: 'skill',
    role: 'base',
    kind: 'near_miss',
    phase: 'hold',
    class: 'class',
    on: ON,
  },
  groups: {
    class: 'class',
    on: ON,
    skill_id: 'skill',
    based_on: 3,
    groups: [{ id: null, seats: { base: ['child'] } }],
  },
  lesson: { said: { mats: 2 } },
}

export function sample<K extends Kind>(
  kind: K,
  id: string,
  said: Partial<Bodies[K]> = {},
  more: Partial<Pick<Row, 'lesson' | 'on' | 'made_at'>> = {},
): RowOf<K> {
  const body = { ...BODIES[kind], ...said, id } as Bodies[K]
  return { ...made(kind, body, LESSON, ON, 0), ...more }
}

export function samples<K extends Kind>(kind: K, count: number): RowOf<K>[] {
  return Array.from({ length: count }, (_, place) => sample(kind, `${kind}-${place}`))
}
