/** One evening as this phone knows it: the server's documents with this phone's rows laid over. */
import type { components } from '../api/schema'
import type { Row, RowOf, State } from '../store/row'

type Schemas = components['schemas']
export type Sheet = Schemas['LessonSheet']
export type Card = Schemas['SheetCard']
export type ChildSkill = Schemas['SheetChild']['skills'][number]
export type Role = Schemas['AttemptEntry']['role']
export type Spot = Schemas['AttemptEntry']['spot']
export type Outcome = Exclude<Schemas['AttemptEntry']['outcome'], 'removed'>
export type Weight = Schemas['AttemptEntry']['weight']
export type Attendance = Schemas['AttendanceEntry']['state']
export type Groups = Schemas['Groups']
export type PairTable = Schemas['PairTable']

export interface Child {
  readonly id: string
  readonly name: string
  readonly trial: boolean
  readonly visitor: boolean
  readonly state: Attendance
  /** Of what was entered about her; null: nothing was, she is taken to be here. */
  readonly revision: number | null
  readonly not_for_now: readonly string[]
  /** Empty for a child that the server has not told of yet. */
  readonly skills: readonly ChildSkill[]
}

/** The revision of a try that counts. */
export interface Try {
  readonly id: string
  readonly attempt: string
  readonly revision: number
  readonly student: string
  readonly skill_id: string
  readonly role: Role
  readonly spot: Spot
  readonly outcome: Outcome | 'removed'
  readonly measure: number | null
  readonly weight: Weight
  readonly try_id: string
  readonly way_in: string
  readonly way_out: string
  readonly surface: string
  readonly happened_at: string
  readonly clock_offset_ms: number
  /** Null: read from the server, and not of this phone. */
  readonly state: State | null
}

/**
 * Groups of one skill as this phone made them, until the server's are newer. Where the server has
 * refused them (`row.state`) they stand until a person has chosen: nothing is changed silently.
 */
export interface MadeGroups {
  readonly row: RowOf<'groups'>
  readonly groups: readonly { readonly id: string | null; readonly seats: Seats }[]
}

/** Role -> ids of children. */
export type Seats = { readonly [role: string]: readonly string[] }

export interface Tonight {
  readonly sheet: Sheet
  /** With what this phone has said about the evening and the server has not stored yet. */
  readonly lesson: Sheet['lesson']
  /** Everybody, alphabetically; `here` leaves out who is away. */
  readonly children: readonly Child[]
  readonly here: readonly Child[]
  /** Tries of tonight that count and are not removed, oldest first. */
  readonly tries: readonly Try[]
  /** By the skill's id. */
  readonly made: ReadonlyMap<string, MadeGroups>
  readonly falls: readonly RowOf<'falls'>[]
  /** Skill's id -> who fell in it and is not told of in the sheet yet: a teacher looks first. */
  readonly closed: ReadonlyMap<string, ReadonlySet<string>>
  readonly cards: ReadonlyMap<string, Card>
}

export interface Known {
  readonly sheet: Sheet
  /** When the sheet was read, in ms of this phone's clock. */
  readonly read_at: number
  readonly tries: readonly Schemas['Try'][]
  /** Names by id of those who are not in the sheet, such as a visitor or a colleague. */
  readonly names: ReadonlyMap<string, string>
  /** This phone's rows of the lesson. */
  readonly rows: readonly Row[]
}

/** The evening that follows from what is known; the same whatever the order of the rows. */
export function tonight(known: Known): Tonight {
  const children = childrenOf(known)
  const falls = of('falls', known.rows)
  return {
    sheet: known.sheet,
    lesson: lessonOf(known),
    children,
    here: children.filter((one) => one.state !== 'away'),
    tries: triesOf(known),
    made: madeOf(known),
    falls,
    closed: closedBy(falls.filter((row) => isNewer(row, known.read_at))),
    cards: new Map(known.sheet.cards.map((card) => [card.skill, card])),
  }
}

function of<K extends Row['kind']>(kind: K, rows: readonly Row[]): RowOf<K>[] {
  const found = rows.filter((row): row is RowOf<K> & Row => row.kind === kind && counts(row))
  return found.sort(byMoment)
}

function byMoment(a: Row, b: Row): number {
  return a.made_at - b.made_at || (a.id < b.id ? -1 : 1)
}

/** A refused row has not happened; a held one has, as far as this phone can tell. */
function counts(row: Row): boolean {
  return row.state !== 'refused'
}

/** What the server has stored stands until a sheet is read that has it. */
function isNewer(row: Row, read_at: number): boolean {
  return (row.settled_at ?? Infinity) > read_at
}

export function closedBy(falls: readonly RowOf<'falls'>[]): Map<string, Set<string>> {
  const found = new Map<string, Set<string>>()
  for (const { body } of falls) {
    found.set(body.skill_id, (found.get(body.skill_id) ?? new Set()).add(body.student))
  }
  return found
}

function childrenOf({ sheet, names, rows }: Known): Child[] {
  const found = new Map<string, Child>()
  for (const one of sheet.children) found.set(one.id, one)
  for (const { body } of of('students', rows)) {
    if (found.has(body.id)) continue
    const name = body.initial ? `${body.given_name} ${body.initial}` : body.given_name
    found.set(body.id, { ...NEW, id: body.id, name, trial: true, visitor: false })
  }
  for (const { body } of of('attendance', rows)) {
    const name = names.get(body.student)
    const known = found.get(body.student)
    const before =
      known ?? (name ? { ...NEW, id: body.student, name, trial: false, visitor: true } : null)
    if (!before || (before.revision !== null && before.revision >= body.revision)) continue
    found.set(body.student, { ...before, state: body.state, revision: body.revision })
  }
  return [...found.values()].sort(byName)
}

const NEW = { state: 'here', revision: null, not_for_now: [], skills: [] } as const

/** As a class list is read out: by name, then by id. */
export function byName(a: { name: string; id: string }, b: { name: string; id: string }): number {
  return COLLATOR.compare(a.name, b.name) || (a.id < b.id ? -1 : 1)
}

const COLLATOR = new Intl.Collator('en')

function triesOf({ tries, rows }: Known): Try[] {
  const latest = new Map<string, Try>()
  const take = (one: Try) => {
    const known = latest.get(one.attempt)
    if (!known || before(known, one)) latest.set(one.attempt, one)
  }
  for (const one of tries) take({ ...one, state: null })
  for (const { body, state } of of('attempts', rows)) take({ ...WITHOUT, ...body, state } as Try)
  return [...latest.values()]
    .filter((one) => one.outcome !== 'removed')
    .sort((a, b) => corrected(a) - corrected(b) || (a.attempt < b.attempt ? -1 : 1))
}

const WITHOUT = { measure: null, way_in: '', way_out: '', surface: '' }

/** Of two rows of one attempt the greater (revision, id) counts; a row known twice is the same. */
function before(a: Try, b: Try): boolean {
  return a.revision < b.revision || (a.revision === b.revision && a.id <= b.id)
}

/** The moment of a try by the server's clock, in ms. */
function corrected(one: Try): number {
  return Date.parse(one.happened_at) + one.clock_offset_ms
}

function madeOf({ sheet, rows }: Known): Map<string, MadeGroups> {
  const kept = new Map<string, number>()
  for (const one of sheet.kept) kept.set(one.skill, one.version)
  const skills = new Map(sheet.cards.map((card) => [card.skill_id, card.skill]))
  const found = new Map<string, MadeGroups>()
  const refused = rows.filter(
    (row): row is RowOf<'groups'> & Row =>
      row.kind === 'groups' && row.state === 'refused' && !row.aside,
  )
  for (const row of [...of('groups', rows), ...refused].sort(byMoment)) {
    const version = kept.get(skills.get(row.body.skill_id) ?? '') ?? 0
    // What the server answered stands until a document is read that has it; what was made before
    // it is over then too.
    found.delete(row.body.skill_id)
    if (row.state === 'stored' && row.version !== null && version >= row.version) continue
    const groups = row.body.groups.map(({ id, seats }) => ({ id: id ?? null, seats }))
    found.set(row.body.skill_id, { row, groups })
  }
  return found
}

function lessonOf({ sheet, read_at, names, rows }: Known): Sheet['lesson'] {
  const said = of('lesson', rows).filter((row) => isNewer(row, read_at))
  const { mats, minutes, surface, note, state, spotters } = Object.assign(
    {},
    ...said.map((row) => row.body.said),
  ) as RowOf<'lesson'>['body']['said']
  return {
    ...sheet.lesson,
    ...(mats == null ? {} : { mats }),
    ...(minutes == null ? {} : { minutes }),
    ...(surface == null ? {} : { surface }),
    ...(note == null ? {} : { note }),
    ...(state == null ? {} : { state }),
    ...(spotters == null
      ? {}
      : {
          spotters: spotters.map((id) => ({ id, name: names.get(id) ?? '' })),
          adults_in_room:
            sheet.lesson.adults_in_room + spotters.length - sheet.lesson.spotters.length,
        }),
  }
}
