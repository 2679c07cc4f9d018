/** Work on the groups of one skill: what is shown, what is being changed, and how it is kept. */
import { SILENCE, type Reply } from '../api/reply'
import type { Attendance, Groups, PairTable, Tonight } from '../lesson/tonight'
import type { Evening } from '../lesson/evening.svelte'
import { notices } from '../parts/notices.svelte'
import {
  latecomer,
  leaves,
  moved,
  propose,
  swapped,
  type Formed,
  type Role,
  type Tonight as Asked,
} from '../regroup'
import { phone, type Reading } from '../shell/phone'
import { words } from '../words/words'
import { askedOf, tableIn, type Around } from './asked'
import { choiceOf, type Locks } from './locks'
import { putAside, refusedOf } from './refused'
import { freshest, placesOf, studentsIn } from './seats'
import { mayBeKept, mended, verdictOn } from './verdict'
import { formedIn, formedView, versionNow, viewOf, type GroupsShown } from './view'

const said = words.groups
const WAIT_MS = 5000

export class Work {
  readonly evening: Evening
  readonly skill: string
  /** The child whose name was tapped first. */
  picked = $state<string | null>(null)
  /** Groups that cannot be kept as they are. */
  draft = $state.raw<readonly Formed[] | null>(null)
  locks = $state.raw<Locks>([])
  /** What the server has proposed just now, where the sheet has nothing. */
  proposal = $state.raw<Groups | null>(null)
  /** Whether the server is being asked for it. */
  asking = $state(true)
  readonly assistant: boolean
  readonly now: Tonight = $derived.by(() => {
    if (!this.evening.now) throw new Error('the lesson was not read yet')
    return this.evening.now
  })
  readonly card = $derived.by(() => this.evening.card(this.skill))
  readonly around: Around = $derived.by(() => ({
    table: tableIn(this.now, this.skill) ?? this.#table?.body ?? null,
    assistant: this.assistant,
    staff: this.evening.staff,
  }))
  readonly asked: Asked | null = $derived.by(() => askedOf(this.now, this.card, this.around))
  readonly view: GroupsShown | null = $derived.by(
    () =>
      viewOf(this.now, this.card, this.around, this.locks, this.proposal) ?? this.#foundHere(),
  )
  /** What stands, as groups that may be changed. */
  readonly formed: readonly Formed[] = $derived.by(() => (this.view ? formedIn(this.view) : []))
  /** What is on the screen. */
  readonly shown = $derived.by(() => {
    if (!this.draft) return this.view
    return formedView(this.now, this.card, this.around, this.draft, this.locks)
  })
  readonly verdict = $derived.by(() =>
    this.draft ? verdictOn(this.asked, this.formed, this.draft) : null,
  )
  readonly mended = $derived.by(() => (this.draft ? mended(this.asked, this.draft) : null))
  /** The page has been left. */
  closed = false
  #table = $state.raw<Reading<PairTable> | null>(null)

  constructor(evening: Evening, skill: string) {
    this.evening = evening
    this.skill = skill
    this.assistant = phone().session.member.role === 'assistant'
  }

  /** Reads what a phone needs for this skill and the sheet does not hold. */
  async open(): Promise<void> {
    const { store, reading, ask } = phone()
    const { lesson } = this.evening
    if (!tableIn(this.now, this.skill)) {
      this.#table = reading<PairTable>(
        `/api/v1/lessons/${lesson}/pair-table?skill=${encodeURIComponent(this.skill)}`,
      )
    }
    this.locks = (await store.choice<Locks>(choiceOf(lesson, this.skill))) ?? []
    if (!freshest(this.now, this.skill) && this.evening.sheet.trouble === null) {
      const body = { skill: this.skill }
      const reply = await Promise.race([
        ask('POST', `/api/v1/lessons/${lesson}/groups`, { body, member: store.member }),
        // Then the phone looks for itself; what comes later changes nothing on the screen.
        new Promise<Reply>((late) => setTimeout(late, WAIT_MS, SILENCE)),
      ])
      if (reply.is === 'answer') this.proposal = reply.body as Groups
    }
    this.asking = false
  }

  /** Reads anew what stops and asks. */
  async again(): Promise<void> {
    await Promise.all([this.evening.refresh(), this.#table?.refresh()])
  }

  /** Not derived: it must hold for an Undo that is tapped when this page is left already. */
  get version(): number {
    return this.evening.now ? versionNow(this.evening.now, this.skill, this.proposal) : 0
  }

  name(student: string): string {
    return this.now.children.find((one) => one.id === student)?.name ?? said.hasLeft
  }

  isPlaced(student: string): boolean {
    return (this.draft ?? this.formed).some(({ seats }) => studentsIn(seats).includes(student))
  }

  /** The first name is picked, the second changes places with it, the same again leaves it. */
  async tap(student: string): Promise<void> {
    const first = this.picked
    // Of two who both have no place there is nothing to change.
    const nothing = !this.isPlaced(student) && first !== null && !this.isPlaced(first)
    const begins = first === null || (first !== student && nothing)
    this.picked = begins ? student : null
    if (begins || first === student) return
    const groups = swapped(this.draft ?? this.formed, first, student)
    await this.change(groups, said.swapped(this.name(first), this.name(student)))
  }

  /** The picked child into a role of a group; null: a new group, or with no role into none. */
  async move(group: number | null, role: Role | null): Promise<void> {
    const student = this.picked
    if (student === null) return
    this.picked = null
    const name = this.name(student)
    const where = role === null ? null : said.where(group, words.shell.role[role])
    const groups = moved(this.draft ?? this.formed, student, { group, role })
    await this.change(groups, where ? said.moved(name, where) : said.outOf(name))
  }

  /** Not today, from now on; her place is filled with the least change. */
  async notToday(student: string): Promise<void> {
    this.picked = null
    const enter = (state: Attendance) => this.evening.enter([[student, state]])
    const before = this.now.children.find((one) => one.id === student)?.state ?? 'here'
    if (!(await written(() => enter('not_today')))) return
    if (!this.isPlaced(student)) notices.say(said.notToday(this.name(student)))
    else await this.fill(student, () => enter(before))
  }

  /** With the least change; `back` takes back what has made it necessary. */
  async fill(student: string, back?: () => Promise<void>): Promise<void> {
    if (!this.asked) return notices.say(said.needsTable)
    const after = leaves(this.asked, this.draft ?? this.formed, student)
    const changes = said.changes(after.changes.map((one) => one.sentence))
    await this.change(after.groups, said.filled(this.name(student), changes), back)
  }

  async findPlace(student: string): Promise<void> {
    this.picked = null
    if (!this.asked) return notices.say(said.needsTable)
    const after = latecomer(this.asked, this.draft ?? this.formed, student)
    if (!after.placed) return notices.say(after.sentence)
    const changes = said.changes(after.changes.map((one) => one.sentence))
    await this.change(after.groups, said.hasPlace(this.name(student), changes))
  }

  async regroup(): Promise<void> {
    this.picked = null
    if (!this.asked) return notices.say(said.needsTable)
    const found = propose(this.asked, this.draft ?? this.formed)
    const [stop] = found.stops
    if (stop) return notices.say(said.draftStop(stop.sentence))
    const how = found.proven ? said.proven : said.bestFound
    if (!this.draft && same(found.groups, this.formed)) return notices.say(said.nothingChanges(how))
    await this.change(found.groups, said.regrouped(how))
  }

  leaveDraft(): void {
    this.picked = null
    this.draft = null
  }

  async takeLeastChange(): Promise<void> {
    if (this.mended) await this.change(this.mended.groups, said.kept)
  }

  /** Groups that were formed by hand, or changed: kept at once where nothing is against it. */
  async change(
    after: readonly Formed[],
    told: string,
    back: () => Promise<void> = async () => {},
  ): Promise<void> {
    if (!mayBeKept(verdictOn(this.asked, this.formed, after))) {
      this.draft = after
      return
    }
    const before = this.formed
    if (!(await this.keep(after))) return
    this.draft = null
    if (before.length === 0 || same(before, after)) return notices.say(told)
    notices.say(told, { text: words.shell.undo, run: () => void this.#takeBack(before, back) })
  }

  async #takeBack(before: readonly Formed[], back: () => Promise<void>): Promise<void> {
    if ((await this.keep(before)) && (await written(back))) notices.say(words.shell.undone)
  }

  /** A new row; what was refused before is answered by it. */
  async keep(groups: readonly Formed[], version = this.version): Promise<boolean> {
    const { evening, skill } = this
    const { skill_id } = evening.card(skill)
    const seated = groups.filter(({ seats }) => studentsIn(seats).length > 0)
    const { store } = phone()
    return written(async () => {
      const refused = await refusedOf(store, evening.lesson, skill_id)
      await evening.keep(skill, seated, version)
      if (refused.length === 0) return
      await putAside(store, refused)
      await evening.again()
    })
  }

  /** The phone's own proposal, where nobody has one. */
  #foundHere(): GroupsShown | null {
    if (!this.asked || this.asking) return null
    const { groups, stops, proven } = propose(this.asked)
    const shown = formedView(this.now, this.card, this.around, groups, this.locks)
    const found = { ...shown, stops: stops.length > 0 ? stops : shown.stops, proven }
    return { ...found, source: 'proposed', conflict: null }
  }
}

/** Whether it is on this phone now; where it is not, that is said. */
export async function written(write: () => Promise<unknown>): Promise<boolean> {
  try {
    await write()
    return true
  } catch {
    notices.fail(words.shell.notSaved)
    return false
  }
}

function same(one: readonly Formed[], other: readonly Formed[]): boolean {
  const places = (groups: readonly Formed[]) => groups.map(({ seats }) => placesOf(seats)).sort()
  return places(one).join('; ') === places(other).join('; ')
}
