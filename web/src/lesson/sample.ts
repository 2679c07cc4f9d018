/** A small evening for tests: three children, a lift and a plank, and what is entered about it. */
import { made, type Bodies, type Kind, type Row, type RowOf } from '../store/row'
import { closedBy, tonight, type Card, type Child, type Sheet, type Tonight, type Try } from './tonight'

const ON = '2026-12-01'

export function card(other: object = {}): Card {
  return {
    skill: 'seat',
    skill_id: 'seat-id',
    name: 'Seat on a table',
    family: 'Low lifts',
    family_key: 'lifts',
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
  } as unknown as Card
}

export const plank = card({
  skill: 'plank',
  skill_id: 'plank-id',
  name: 'Front plank',
  family: 'Holding tight',
  family_key: 'tight',
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

export function child(name: string, other: object = {}): Child {
  return {
    ...who(name),
    trial: false,
    visitor: false,
    state: 'here',
    revision: null,
    not_for_now: [],
    skills: [],
    ...other,
  }
}

/** A child or an adult: known by her name. */
export function who(name: string) {
  return { id: name, name }
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

/** Role and names, as the server tells a group's. */
export function seats(of: { readonly [role: string]: readonly string[] }) {
  return Object.entries(of).map(([role, names]) => ({ role, students: names.map(who) }))
}

/** Groups as the server proposes them: role -> names, for each group. */
export function proposed(...groups: { [role: string]: string[] }[]): Sheet['proposed'] {
  const formed = groups.map((of, at) => ({ id: `group ${at}`, seats: seats(of) }))
  return [{ skill: 'seat', groups: formed }] as unknown as Sheet['proposed']
}

export function sheet(other: object = {}): Sheet {
  return {
    lesson: lesson(),
    children: ['Amara', 'Bao', 'Demba'].map((name) => child(name)),
    cards: [card(), plank],
    kept: [],
    proposed: [],
    pair_tables: [],
    suggestions: { groups: [], alone: [] },
    ...other,
  } as unknown as Sheet
}

/** With whoever is in charge, adults free to spot are in the room. */
export function lesson(spotters: readonly string[] = [], other: object = {}) {
  return {
    id: 'lesson',
    on: ON,
    mats: 4,
    minutes: 45,
    surface: null,
    note: '',
    spotters: spotters.map(who),
    adults_in_room: spotters.length + 1,
    adults_needed: 1,
    ...other,
  }
}

interface Given {
  readonly children?: readonly Child[]
  readonly cards?: readonly Card[]
  readonly proposed?: Sheet['proposed']
  readonly pair_tables?: readonly object[]
  readonly suggestions?: { groups: object[]; alone: object[] }
  readonly tries?: readonly Try[]
  readonly falls?: readonly object[]
}

export function evening({ tries = [], falls = [], ...of }: Given = {}): Tonight {
  const known = { sheet: sheet(of), read_at: 0, tries: [], names: new Map(), rows: [] }
  const fell = falls as Tonight['falls']
  return { ...tonight(known), tries, falls: fell, closed: closedBy(fell) }
}

let made_at = 0
/** What was entered on this phone; each row later than the one before. */
export function row<K extends Kind>(kind: K, body: object, more: object = {}): RowOf<K> & Row {
  const whole = { id: `row ${made_at}`, ...body } as Bodies[K]
  return { ...made(kind, whole, 'lesson', ON, made_at++), ...more } as RowOf<K> & Row
}

export function entered(student: string, state: string, revision = 1): Row {
  return row('attendance', { student, revision, state })
}
