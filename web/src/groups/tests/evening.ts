/** A small evening for tests of groups: a hold of two and a lean of equals, and a table. */
import * as sample from '../../lesson/sample'
import { tonight, type Card, type Groups, type PairTable, type Tonight } from '../../lesson/tonight'
import type { Row } from '../../store/row'
import type { Around } from '../asked'

export { entered, who } from '../../lesson/sample'

export const NAMES = ['Amara', 'Bao', 'Cli', 'Demba', 'Esme'] as const

export function card(skill: string, more: object = {}): Card {
  return sample.card({
    skill,
    skill_id: `${skill}-id`,
    lifted: false,
    spot: { stands: 'in front' },
    ways_in: [
      { key: 'sit', name: 'sit and lift', spot: null },
      { key: 'hop', name: 'hop up', spot: null },
    ],
    ways_out: [{ key: 'down', name: 'feet down', spot: null }],
    ...more,
  })
}

export const SEAT = card('seat')
export const LEAN = card('lean', {
  name: 'Facing lean',
  spotted: false,
  roles: [{ role: 'partner', min: 2, max: 2, loads: [] }],
})

export function child(name: string, more: object = {}) {
  return sample.child(name, { skills: [line('base'), line('flyer')], ...more })
}

export function line(role: string, more: object = {}) {
  return sample.line('seat', role, { ready: true, ...more })
}

type Told = Groups['groups'][number]

export function group(seats: Record<string, string[]>, more: object = {}): Told {
  return {
    number: 1,
    id: null,
    locked: false,
    turn: 1,
    seats: sample.seats(seats),
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
  const whole = sample.sheet({
    lesson: sample.lesson(['Maya']),
    children: NAMES.map((name) => child(name)),
    cards: [SEAT, LEAN],
    pair_tables: [table()],
    ...sheet,
  })
  return tonight({ sheet: whole, read_at: 0, tries: [], names: new Map(), rows })
}

/** Adults of the school: one for one family, one for all of them, one for none of these. */
const STAFF = [
  { ...sample.who('Maya'), may_spot: ['lifts'] },
  { ...sample.who('Noa'), may_spot: ['all'] },
  { ...sample.who('Pia'), may_spot: ['bends'] },
] as unknown as Around['staff']

export const AROUND: Around = { table: table(), assistant: false, staff: STAFF }

export function row(
  seats: readonly Record<string, string[]>[],
  more: object = {},
  based_on: number | null = 0,
) {
  const formed = seats.map((one) => ({ id: null, seats: one }))
  return sample.row('groups', { skill_id: 'seat-id', groups: formed, based_on }, more)
}
