/** One card of a draft while somebody writes at it: checked as she types, saved with its tag. */
import type { components } from '../api/schema'
import { Sending } from '../desk/sending.svelte'
import { phone } from '../shell/phone'
import { at, carried, moved, pointer, put, same, type Doc, type Path, type Value } from './card'
import type { Finding } from './told'

type Schemas = components['schemas']
type Checked = 'not' | 'now' | 'done' | 'no_signal' | 'refused'

const PAUSE_MS = 600

/** What stands of a card by now, and who wrote it as far as is known. */
export interface Standing {
  readonly tag: string | null
  readonly document: Doc | null
  readonly changed_at: string | null
  readonly changed_by: { readonly name: string } | null
}

interface Unsaved {
  readonly skill: string
  readonly tag: string | null
  readonly base: Doc
  readonly document: Doc
}

/** What was written and not saved, by member and address: until this window is closed. */
const unsaved = new Map<string, Unsaved>()
const keyOf = (url: string): string => `${phone().session.member.member} ${url}`

/** The skills of a draft whose cards she has written at and not saved. */
export function unsavedOf(draft: string): string[] {
  const under = keyOf(`${draft}/cards/`)
  return [...unsaved].flatMap(([key, { skill }]) => (key.startsWith(under) ? [skill] : []))
}

/** Whoever closes the window then is asked, on whatever page she is. */
const ask = (event: BeforeUnloadEvent): void => event.preventDefault()

export class Editing {
  document = $state.raw<Doc>({})
  /** As it was read or saved last. */
  base = $state.raw<Doc>({})
  faults = $state.raw<readonly Finding[]>([])
  warnings = $state.raw<readonly Finding[]>([])
  checked = $state.raw<Checked>('not')
  /** The card as it was checked last, if it keeps to the format: its picture can be drawn. */
  sound = $state.raw<Doc | null>(null)
  /** What somebody else has saved meanwhile. */
  standing = $state.raw<Standing | null>(null)
  /** What she wrote before she took what stands. */
  aside = $state.raw<Doc | null>(null)
  /** Whether what stands here was written before the page was opened. */
  readonly found: boolean
  readonly sending = new Sending({ told: true })
  readonly url: string
  readonly #skill: string
  readonly #key: string
  tag = $state.raw<string | null>(null)
  #timer: ReturnType<typeof setTimeout> | undefined
  #latest = 0

  constructor(url: string, { skill, tag, document }: Pick<Schemas['CardInDraft'], 'skill' | 'tag' | 'document'>) {
    this.url = url
    this.#skill = skill
    this.#key = keyOf(url)
    const before = unsaved.get(this.#key)
    this.found = before !== undefined
    this.tag = before ? before.tag : tag
    this.base = before?.base ?? document
    this.document = before?.document ?? document
    void this.check()
  }

  get changed(): boolean {
    return !same(this.document, this.base)
  }

  at(path: Path): Value {
    return at(this.document, path)
  }

  /** What stands in a field. */
  text(path: Path): string {
    const value = this.at(path)
    return typeof value === 'string' || typeof value === 'number' ? String(value) : ''
  }

  put(path: Path, value: Value): void {
    this.#write(put(this.document, path, value))
  }

  /** What is written in a field of text; the name and the criterion stay when they are empty. */
  write(path: Path, text: string): void {
    const kept = path.length === 1 && (path[0] === 'name' || path[0] === 'criterion')
    this.put(path, text || kept || typeof path.at(-1) === 'number' ? text : undefined)
  }

  up(path: Path, index: number): void {
    this.#write(moved(this.document, path, index))
  }

  /** What is wrong at a place, in words. */
  wrong(path: Path): string | null {
    const here = pointer(path)
    const found = this.own(this.faults).filter((one) => one.pointer === here)
    return found.map(({ detail }) => detail).join(' ') || null
  }

  /** How many faults there are at some places and below them. */
  under(paths: readonly Path[]): number {
    const starts = paths.map(pointer)
    const below = ({ pointer }: Finding) =>
      starts.some((start) => pointer === start || pointer.startsWith(`${start}/`))
    return this.own(this.faults).filter(below).length
  }

  own(all: readonly Finding[]): Finding[] {
    return all.filter(({ skill }) => skill === this.#skill)
  }

  others(all: readonly Finding[]): Finding[] {
    return all.filter(({ skill }) => skill !== this.#skill)
  }

  async check(): Promise<void> {
    clearTimeout(this.#timer)
    const mine = ++this.#latest
    this.checked = 'now'
    const sent = this.document
    const reply = await phone().ask('POST', `${this.url}/checks`, { body: sent })
    if (mine !== this.#latest) return
    this.sound = reply.is === 'answer' ? sent : null
    if (reply.is === 'silence') this.checked = 'no_signal'
    else if (reply.is === 'answer') {
      const { faults, warnings } = reply.body as Schemas['CardChecks']
      this.#found(faults, warnings)
    } else if (reply.status === 400) this.#refused(reply.body)
    else this.checked = 'refused'
  }

  /** True once it is saved. */
  async save(): Promise<boolean> {
    const sent = this.document
    const version = this.tag === null ? { fresh: true } : { version: `"${this.tag}"` }
    const reply = await this.sending.send<Schemas['CardInDraft']>('PUT', this.url, {
      body: sent,
      ...version,
    })
    const refused = this.sending.refused
    if (refused?.status === 412) {
      this.#second((refused.body as { current: Standing }).current)
    } else if (refused?.status === 400) this.#refused(refused.body)
    if (!reply) return false
    this.tag = reply.body.tag
    this.base = reply.body.document
    if (this.document === sent) this.document = reply.body.document
    this.standing = null
    this.aside = null
    this.#keep()
    return true
  }

  /** Hers in the place of what stands. */
  async insist(): Promise<boolean> {
    this.#meet()
    return this.save()
  }

  /** What stands; hers is set aside. */
  takeStanding(): void {
    const { standing, document } = this
    if (!standing?.document) return
    this.#meet()
    this.aside = document
    this.#write(standing.document)
  }

  /** Hers again, to be saved in the place of what stands. */
  mineAgain(): void {
    const { aside, document } = this
    if (!aside) return
    this.aside = same(document, this.base) ? null : document
    this.#write(aside)
  }

  /** One part as it stands; the rest as she wrote it. */
  takePart(key: string): void {
    if (this.standing?.document) this.put([key], this.standing.document[key])
  }

  giveUp(): void {
    this.#write(this.base)
    this.standing = null
  }

  /** The card is gone from its address: nothing of it is kept. */
  forget(): void {
    clearTimeout(this.#timer)
    this.#latest++
    this.#keep(false)
  }

  /** Somebody else was first: what she has not touched is as it stands. */
  #second(standing: Standing): void {
    this.standing = standing
    if (!standing.document) return
    this.document = carried(this.base, this.document, standing.document)
    this.#keep()
    void this.check()
  }

  #meet(): void {
    if (!this.standing) return
    this.tag = this.standing.tag
    this.base = this.standing.document ?? {}
    this.standing = null
  }

  #write(document: Doc): void {
    if (document === this.document) return
    this.document = document
    this.sending.touch()
    this.#keep()
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.check(), PAUSE_MS)
  }

  #keep(changed = this.changed): void {
    const { tag, base, document } = this
    if (changed) unsaved.set(this.#key, { skill: this.#skill, tag, base, document })
    else unsaved.delete(this.#key)
    if (unsaved.size) addEventListener('beforeunload', ask)
    else removeEventListener('beforeunload', ask)
  }

  #refused(body: unknown): void {
    const { errors = [] } = (body ?? {}) as { errors?: { pointer?: string; detail?: string }[] }
    const found = errors.map(({ pointer = '', detail = '' }) => ({
      skill: this.#skill,
      pointer,
      detail,
    }))
    this.#found(found, [])
  }

  #found(faults: readonly Finding[], warnings: readonly Finding[]): void {
    this.faults = faults
    this.warnings = warnings
    this.checked = 'done'
  }
}
