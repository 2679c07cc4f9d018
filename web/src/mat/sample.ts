/** A small evening for tests of the mat: three children, a lift and a plank. */
import {
  tonight,
  type Card,
  type Child,
  type Known,
  type Sheet,
  type Tonight,
  type Try,
} from '../lesson/tonight'

export function card(other: Partial<Card> = {}): Card {
  return {
    skill: 'seat',
    skill_id: 'seat-id',
    name: 'Seat on a table',
    family: 'Low lifts',
    tier: 'low',
    lifted: true,
    spotted: true,
    habit: false,
    alone: false,
    roles: [
      { role: 'base', min: 1, max: 1, loads: [] },
      { role: 'flyer', min: 1, max: 1, loads: [] },
      { role: 'spotter', min: 1, max: 1, loads: [] },
    ],
    learning_size: null,
    criterion: '5 s',
    measure: { unit: 's', figure: 5 },
    spot: null,
    contacts: null,
    grip: null,
    steps: [],
    cues: [],
    ways_in: [],
    shapes: [],
    ways_out: [],
    way_down: null,
    stop: null,
    bail_out: null,
    agreed_before: null,
    caution: null,
    ...other,
  } as Card
}

export const plank = card({
  skill: 'plank',
  skill_id: 'plank-id',
  name: 'Front plank',
  family: 'Holding tight',
  lifted: false,
  spotted: false,
  alone: true,
  roles: [{ role: 'solo', min: 1, max: 1, loads: [] }],
  measure: { unit: 's', figure: 20 },
})

export function line(skill: string, role: string, other: object = {}): Child['skills'][number] {
  return {
    skill,
    role,
    ready: false,
    stopped: false,
    spot: 'hands_on',
    help: '',
    says: '',
    without: [],
    ...other,
  } as Child['skills'][number]
}

export function child(name: string, other: Partial<Child> = {}): Child {
  return {
    id: name,
    name,
    trial: false,
    visitor: false,
    state: 'here',
    revision: null,
    not_for_now: [],
    skills: [],
    ...other,
  }
}

export function tried(student: string, other: Partial<Try> = {}): Try {
  return {
    id: `${student} row`,
    attempt: `${student} attempt`,
    revision: 1,
    student,
    skill_id: 'seat-id',
    role: 'base',
    spot: 'hands_on',
    outcome: 'clean',
    measure: null,
    weight: 'own',
    try_id: `${student} try`,
    way_in: '',
    way_out: '',
    surface: '',
    happened_at: '2026-12-01T17:10:00Z',
    clock_offset_ms: 0,
    state: 'waiting',
    ...other,
  }
}

/** Groups as the server proposes them: role -> names, for each group. */
export function proposed(...groups: { [role: string]: string[] }[]): Sheet['proposed'] {
  return [
    {
      skill: 'seat',
      groups: groups.map((seats, at) => ({
        id: `group ${at}`,
        seats: Object.entries(seats).map(([role, names]) => ({
          role,
          students: names.map((name) => ({ id: name, name })),
        })),
      })),
    },
  ] as unknown as Sheet['proposed']
}

interface Given {
  children?: readonly Child[]
  cards?: readonly Card[]
  proposed?: Sheet['proposed']
  suggestions?: { groups: object[]; alone: object[] }
  tries?: readonly Try[]
  falls?: readonly object[]
}

export function evening(given: Given = {}): Tonight {
  const sheet = {
    lesson: { id: 'lesson', on: '2026-12-01', surface: null, spotters: [] },
    children: given.children ?? [child('Amara'), child('Bao'), child('Demba')],
    cards: given.cards ?? [card(), plank],
    kept: [],
    proposed: given.proposed ?? [],
    pair_tables: [],
    suggestions: given.suggestions ?? { groups: [], alone: [] },
  } as unknown as Sheet
  const known = { sheet, tries: [], names: new Map(), rows: [], read_at: 0 } as Known
  const now = tonight(known)
  return { ...now, tries: given.tries ?? [], falls: (given.falls ?? []) as Tonight['falls'] }
}
