/** The evening a screen works on: reads it, and writes what a person enters as rows on this phone. */
import { getContext, setContext } from 'svelte'
import type { components } from '../api/schema'
import { uuid7 } from '../ids/ids'
import { notices } from '../parts/notices.svelte'
import { phone, type Reading } from '../shell/phone'
import { made, type Row, type RowOf } from '../store/row'
import { words } from '../words/words'
import { whileSeen } from './seen'
import {
  tonight,
  type Attendance,
  type Card,
  type Outcome,
  type Role,
  type Seats,
  type Sheet,
  type Spot,
  type Tonight,
  type Try,
  type Weight,
} from './tonight'

type Schemas = components['schemas']

/** One child's try as it is entered; the rows of one physical try share `try_id`. */
export interface Entry {
  readonly student: string
  readonly skill: string
  readonly role: Role
  readonly spot: Spot
  readonly outcome: Outcome
  readonly weight: Weight
  readonly measure?: number
  readonly try_id?: string
  readonly way_in?: string
  readonly way_out?: string
}

export type Change = Partial<Pick<
  Try,
  'spot' | 'outcome' | 'measure' | 'way_in' | 'way_out' | 'weight'
>>

export type Fell = Omit<Schemas['FallEntry'], 'id' | 'skill_id' | 'class' | 'on'> & {
  readonly skill: string
}

type Kinds = ReadonlySet<Row['kind']>
/** Kinds that change the sheet itself; tries are known beside it. */
const SAID_IN_SHEET: Kinds = new Set(['students', 'attendance', 'groups', 'lesson', 'falls'])
/** Where those of this phone have come through, those of others may be had. */
const SAID_IN_TRIES: Kinds = new Set(['attempts'])
const PAUSE_MS = 2000

export class Evening {
  readonly lesson: string
  readonly #sheet
  readonly #tries
  readonly #people
  readonly #staff
  #rows = $state.raw<readonly Row[]>([])
  /** Of the readings of these rows: how many have begun, and which of them is shown. */
  #begun = 0
  #shown = 0
  #folded: { readonly of: readonly unknown[]; readonly tonight: Tonight } | null = null
  readonly #soon = new Map<Reading<unknown>, ReturnType<typeof setTimeout>>()
  readonly #leave: readonly (() => void)[]

  constructor(lesson: string) {
    this.lesson = lesson
    const { reading, sync } = phone()
    this.#sheet = reading<Sheet>(`/api/v1/lessons/${lesson}/sheet`)
    this.#tries = reading<Schemas['TryPage']>(`/api/v1/lessons/${lesson}/tries?limit=500`)
    this.#people = reading<Schemas['StudentLinePage']>('/api/v1/students?limit=500')
    this.#staff = reading<Schemas['MemberList']>('/api/v1/staff')
    this.#leave = [
      sync.watch(() => void this.again()),
      whileSeen({
        back: () => void this.refresh(),
        still: () => void this.#tries.refresh(),
      }),
    ]
    void this.again()
  }

  /**
   * Null until the lesson was read once, from the server or from this phone; the same object while
   * nothing is new. Not derived: it must hold for an Undo that is tapped when the lesson has been
   * left, and what is derived ends with the page that it was made on.
   */
  get now(): Tonight | null {
    const { body: sheet, read_at } = this.#sheet
    if (!sheet) return null
    const tries = this.#tries.body
    const rows = this.#rows
    const of = [sheet, read_at, tries, this.#people.body, this.#staff.body, rows]
    if (!this.#folded || of.some((one, place) => one !== this.#folded?.of[place])) {
      const known = { sheet, read_at: read_at ?? 0, tries: tries?.rows ?? [], rows }
      this.#folded = { of, tonight: tonight({ ...known, names: this.#names() }) }
    }
    return this.#folded.tonight
  }

  /** How the evening is known: `read_at` and whether it is from this phone. */
  get sheet() {
    return this.#sheet
  }

  /** Everybody of the school's classes in sight, and the staff: who may be named tonight. */
  get people() {
    return this.#people.body?.rows ?? []
  }

  get staff() {
    return this.#staff.body?.rows ?? []
  }

  close(): void {
    for (const leave of this.#leave) leave()
    for (const timer of this.#soon.values()) clearTimeout(timer)
  }

  /**
   * Reads this phone's rows anew, and soon what follows from those that the server has stored. Where
   * they cannot be read, that is said: what was entered is on this phone all the same.
   */
  async again(): Promise<void> {
    const begun = ++this.#begun
    try {
      this.#show(await phone().store.ofLesson(this.lesson), begun)
    } catch {
      return notices.say(words.shell.notReadAgain)
    }
    this.#follow(this.#sheet, SAID_IN_SHEET)
    this.#follow(this.#tries, SAID_IN_TRIES)
  }

  /** Asks the server anew; what is on the screen stays where it does not answer. */
  async refresh(): Promise<void> {
    await Promise.all([this.#sheet.refresh(), this.#tries.refresh()])
  }

  card(skill: string): Card {
    const card = this.#known.cards.get(skill)
    if (!card) throw new Error(`no card: ${skill}`)
    return card
  }

  /** Who is here; one row for each child. */
  async enter(states: readonly (readonly [student: string, state: Attendance])[]): Promise<void> {
    const before = new Map(this.#known.children.map((one) => [one.id, one.revision ?? 0]))
    await this.#write(
      states.map(([student, state]) =>
        this.#row('attendance', {
          id: uuid7(),
          revision: (before.get(student) ?? 0) + 1,
          student,
          class: this.#class,
          on: this.#on,
          state,
        }),
      ),
    )
  }

  /** A child on trial, known by a given name; the id by which her tries name her. */
  async trial(given_name: string, initial = ''): Promise<string> {
    const id = uuid7()
    const body = { id, given_name, initial, class: this.#class, on: this.#on }
    const entered = {
      id: uuid7(),
      revision: 1,
      student: id,
      class: this.#class,
      on: this.#on,
      state: 'here' as const,
    }
    await this.#write([this.#row('students', body), this.#row('attendance', entered)])
    return id
  }

  /** Tries, as one write: all of them are on this phone afterwards, or none. */
  async log(entries: readonly Entry[]): Promise<Try[]> {
    const rows = entries.map((entry) => {
      const id = uuid7()
      const { skill, measure, try_id, ...said } = entry
      return this.#row('attempts', {
        ...said,
        ...(measure === undefined ? {} : { measure }),
        id,
        attempt: id,
        revision: 1,
        skill_id: this.card(skill).skill_id,
        try_id: try_id ?? uuid7(),
        surface: this.#known.lesson.surface ?? '',
        ...this.#when(),
      })
    })
    await this.#write(rows)
    return rows.map((row) => this.#tried(row))
  }

  /** The same try, told otherwise: always a new revision, sent or not. */
  async correct(one: Try, change: Change): Promise<void> {
    await this.#write([this.#revised(one, change)])
  }

  /** Takes tries back: a last revision each, as one write. */
  async undo(tries: readonly Try[]): Promise<void> {
    await this.#write(tries.map((one) => this.#revised(one, { outcome: 'removed' })))
  }

  async fell({ skill, ...said }: Fell): Promise<void> {
    const { skill_id } = this.card(skill)
    const body = { ...said, id: uuid7(), skill_id, class: this.#class, on: this.#on }
    await this.#write([this.#row('falls', body)])
  }

  /** Groups as they stand on this phone; the server says whether something newer stands there. */
  async keep(
    skill: string,
    groups: readonly { id: string | null; seats: Seats }[],
    based_on: number,
  ): Promise<void> {
    const { skill_id } = this.card(skill)
    const seats = (of: Seats) =>
      Object.fromEntries(Object.entries(of).map(([role, held]) => [role, [...held]]))
    const body = {
      id: uuid7(),
      class: this.#class,
      on: this.#on,
      skill_id,
      based_on,
      groups: groups.map((one) => ({ id: one.id, seats: seats(one.seats) })),
    }
    await this.#write([this.#row('groups', body)])
  }

  /** What a teacher says about this evening: adults, mats, minutes, floor, a line for next week. */
  async say(said: Schemas['PatchedLessonChange']): Promise<void> {
    await this.#write([this.#row('lesson', { id: uuid7(), said })])
  }

  /** What began later is never followed by what began before it. */
  #show(rows: readonly Row[], begun: number): void {
    if (begun < this.#shown) return
    this.#shown = begun
    this.#rows = rows
  }

  /** A document that these kinds have changed since it was read; a moment later, for all of them. */
  #follow(reading: Reading<unknown>, kinds: Kinds): void {
    const read_at = reading.read_at ?? Infinity
    const changed = this.#rows.some(
      ({ kind, settled_at }) => kinds.has(kind) && (settled_at ?? 0) > read_at,
    )
    if (!changed || this.#soon.has(reading)) return
    const timer = setTimeout(() => {
      this.#soon.delete(reading)
      void reading.refresh()
    }, PAUSE_MS)
    this.#soon.set(reading, timer)
  }

  get #known(): Tonight {
    if (!this.now) throw new Error('the lesson was not read yet')
    return this.now
  }

  get #class(): string {
    return this.#known.sheet.class.id
  }

  get #on(): string {
    return this.#known.sheet.lesson.on
  }

  #when() {
    const { clock } = phone()
    return {
      class: this.#class,
      local_date: this.#on,
      happened_at: new Date(clock.now()).toISOString(),
      clock_offset_ms: clock.offset_ms(),
    }
  }

  #revised(one: Try, change: Change & { outcome?: Try['outcome'] }): RowOf<'attempts'> {
    const { student, skill_id, role, weight, try_id, surface, attempt, revision } = one
    const { happened_at, clock_offset_ms } = one
    return this.#row('attempts', {
      id: uuid7(),
      attempt,
      revision: revision + 1,
      student,
      skill_id,
      role,
      weight,
      try_id,
      surface,
      spot: one.spot,
      outcome: one.outcome,
      measure: one.measure,
      way_in: one.way_in,
      way_out: one.way_out,
      ...change,
      class: this.#class,
      local_date: this.#on,
      happened_at,
      clock_offset_ms,
    })
  }

  #row<K extends Row['kind']>(kind: K, body: RowOf<K>['body']): RowOf<K> {
    return made(kind, body, this.lesson, this.#on, phone().clock.now())
  }

  #tried({ body, state }: RowOf<'attempts'>): Try {
    return { measure: null, way_in: '', way_out: '', surface: '', ...body, state } as Try
  }

  #names(): Map<string, string> {
    return new Map([
      ...this.people.map(({ id, name }) => [id, name] as const),
      ...this.staff.map(({ id, name }) => [id, name] as const),
    ])
  }

  async #write(rows: readonly RowOf<Row['kind']>[]): Promise<void> {
    const { store, sync } = phone()
    await store.add(rows as readonly Row[])
    // They are on this phone, and so on the screen; telling of them has them read, in all tabs.
    const known = new Set(this.#rows.map((row) => row.id))
    const added = (rows as readonly Row[]).filter((row) => !known.has(row.id))
    this.#show([...this.#rows, ...added], ++this.#begun)
    sync.poke()
  }
}

const KEY = Symbol('evening')

export function setEvening(evening: Evening): Evening {
  return setContext(KEY, evening)
}

export function getEvening(): Evening {
  return getContext<Evening>(KEY)
}
