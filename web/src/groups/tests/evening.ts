/** A small evening for tests: a lift of two and a lean of equals, with a table for each. */
import {
  tonight,
  type Card,
  type Groups,
  type PairTable,
  type Sheet,
  type Tonight,
} from '../../lesson/tonight'
import { made, type Bodies, type Row, type RowOf } from '../../store/row'
import type { Around } from '../asked'

export const NAMES = ['Amara', 'Bao', 'Cli', 'Demba', 'Esme'] as const

export function card(skill: string, more: object = {}): Card {
  return {
    skill,
    skill_id: `${skill}-id`,
    name: 'Seat on a table',
    family: 'Low lifts',
    lifted: false,
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
    spot: { stands: 'in front' },
    ways_in: [
      { key: 'sit', name: 'sit and lift', spot: null },
      { key: 'hop', name: 'hop up', spot: null },
    ],
    ways_out: [{ key: 'down', name: 'feet down', spot: null }],
    agreed_before: null,
    caution: null,
    ...more,
  } as unknown as Card
}

export const SEAT = card('seat')
export const LEAN = card('lean', {
  name: 'Facing lean',
  spotted: false,
  roles: [{ role: 'partner', min: 2, max: 2, loads: [] }],
})

export function child(name: string, more: object = {}) {
  return {
    id: name,
    name,
    trial: false,
    visitor: false,
    state: 'here',
    revision: null,
    not_for_now: [],
    skills: (['base', 'flyer'] as const).map((role) => line(role)),
    ...more,
  }
}

export function line(role: string, more: object = {}) {
  const known = { skill: 'seat', ready: true, stopped: false, spot: 'hands_on', without: [] }
  return { ...known, role, ...more }
}

type Told = Groups['groups'][number]

export function group(seats: Record<string, string[]>, more: object = {}): Told {
  return {
    number: 1,
    id: null,
    locked: false,
    turn: 1,
    seats: Object.entries(seats).map(([role, held]) => ({
      role,
      students: held.map((id) => ({ id, name: id })),
    })),
    spotters: [],
    spot: 'hands_near',
    ways_in: 'sit and lift',
    ways_out: 'feet down',
    stops: [],
    asks: [],
    says: [],
    ...more,
  } as Told
}

export function groups(skill: string, all: Groups['groups'], more: object = {}): Groups {
  return {
    skill,
    name: skill,
    version: 0,
    proven: true,
    groups: all,
    still_to_place: [],
    stops: [],
    changes: [],
    ...more,
  } as unknown as Groups
}

/** Everybody may hold every role; the first two have a teacher's yes. */
export function table(more: Partial<PairTable> = {}): PairTable {
  const held = NAMES.map(() => ({ state: 'fits', ready: true, says: [], turns: 0 }))
  return {
    skill: 'seat',
    name: 'Seat on a table',
    children: [...NAMES],
    stops: [],
    roles: ['base', 'flyer'].map((role) => ({ role, min: 1, max: 1, children: held })),
    covers: 'everybody',
    sets: [],
    agreed: [[0, 1]],
    not_with: [],
    only_with: [],
    past_pairs: [
      [0, 1, 2],
      [2, 3, 1],
    ],
    keep_partners: false,
    adults: 1,
    adults_a_group: 1,
    turns_under_one_spot: 3,
    groups_at_most: 24,
    ask_says: '“these two: yes”',
    stop_says: 'another base',
    partner_says: 'another partner',
    ...more,
  } as PairTable
}

export interface Evening {
  readonly sheet?: object
  readonly rows?: readonly Row[]
}

export function evening({ sheet = {}, rows = [] }: Evening = {}): Tonight {
  const whole = {
    lesson: { on: '2026-12-01', mats: 4, surface: null, note: '', spotters: [who('Maya')] },
    children: NAMES.map((name) => child(name)),
    cards: [SEAT, LEAN],
    suggestions: { groups: [] },
    kept: [],
    proposed: [],
    pair_tables: [table()],
    ...sheet,
  } as unknown as Sheet
  return tonight({ sheet: whole, read_at: 0, tries: [], names: new Map(), rows })
}

export const AROUND: Around = { table: table(), assistant: false, staff: [] }

export function who(name: string) {
  return { id: name, name }
}

let made_at = 0
export function row(
  seats: readonly Record<string, string[]>[],
  more: object = {},
  based_on: number | null = 0,
): RowOf<'groups'> & Row {
  const body = {
    id: `row ${made_at}`,
    skill_id: 'seat-id',
    groups: seats.map((one) => ({ id: null, seats: one })),
    based_on,
  } as unknown as Bodies['groups']
  const waiting = made('groups', body, 'lesson', '2026-12-01', made_at++)
  return { ...waiting, ...more } as RowOf<'groups'> & Row
}

export function entered(student: string, state: string): Row {
  const body = { student, revision: 1, state } as unknown as Bodies['attendance']
  return made('attendance', body, 'lesson', '2026-12-01', made_at++) as Row
}
