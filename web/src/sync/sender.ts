/** Sends what waits on this phone, oldest first, and writes down what became of it. */
import type { Ask } from '../api/client'
import type { Reply } from '../api/reply'
import { about, KINDS, type Kind, type Row, type RowOf } from '../store/row'
import type { Settled, Store } from '../store/store'
import { answersIn, refused, stored } from './answers'

const MOST_ROWS = 50
const ALL = 10_000

/** How sending has ended. `later`: something still waits; try again after a while. */
export type Ended =
  | { readonly is: 'done' | 'signed_out' | 'other_member' | 'update' }
  | { readonly is: 'later'; readonly wait_ms: number | null }

export interface Sending {
  readonly store: Store
  readonly ask: Ask
  readonly now: () => number
  /** Rows have been settled; `erased`: those of a child who was erased have gone. */
  readonly settled: (news: 'changed' | 'erased') => void
}

/** What one request has come to; `smaller`: it was refused as a whole, rows and all. */
type Round = Ended | 'smaller' | Settled[]

const LATER: Ended = { is: 'later', wait_ms: null }

/** Answers that the disk has not taken yet: on a full phone what comes after them is sent too. */
interface Untaken {
  answers: readonly Settled[]
  error: unknown
}

/** One sender at a time is enough; two do no harm, since the server knows each row by its id. */
export async function drain(sending: Sending): Promise<Ended> {
  const untaken: Untaken = { answers: [], error: null }
  for (const kind of KINDS) {
    const ended = await drainKind(sending, kind, untaken)
    if (ended) return ended
  }
  if (untaken.answers.length) throw untaken.error
  return (await sending.store.counts()).waiting ? LATER : { is: 'done' }
}

async function drainKind(sending: Sending, kind: Kind, untaken: Untaken): Promise<Ended | null> {
  let most = MOST_ROWS
  for (;;) {
    const rows = await ready(sending.store, kind, kind === 'lesson' ? 1 : most, untaken)
    const [first] = rows
    if (!first) return null
    const round = first.kind === 'lesson' ? await say(sending, first) : await hand(sending, rows)
    if (round === 'smaller') {
      most = Math.ceil(rows.length / 2)
      continue
    }
    if (!Array.isArray(round)) return round
    if (!round.length) return null // asked again with the next try, not at once
    await writeDown(sending, round, untaken)
    most = Math.min(MOST_ROWS, most * 2)
  }
}

async function writeDown(
  { store, now, settled }: Sending,
  round: readonly Settled[],
  untaken: Untaken,
): Promise<void> {
  const answers = [...untaken.answers, ...round]
  try {
    await store.settle(answers, now())
  } catch (error) {
    Object.assign(untaken, { answers, error })
    return
  }
  untaken.answers = []
  settled(answers.some((one) => one.code === 'erased') ? 'erased' : 'changed')
}

async function hand({ store, ask }: Sending, rows: readonly Row[]): Promise<Round> {
  const reply = await ask('POST', `/api/v1/${rows[0]!.kind}/batch`, {
    body: { rows: rows.map((row) => row.body) },
    member: store.member,
  })
  if (reply.is === 'answer') return answersIn(reply.body, rows)
  if (reply.is === 'silence') return LATER
  if (reply.status === 404) return { is: 'update' }
  const ended = endedBy(reply)
  if (ended) return ended
  return rows.length > 1 ? 'smaller' : [refused(rows[0]!, reply.problem)]
}

/** What a teacher says of an evening: one after another, because the last word counts. */
async function say({ store, ask }: Sending, row: RowOf<'lesson'>): Promise<Round> {
  const reply = await ask('PATCH', `/api/v1/lessons/${row.lesson}`, {
    body: row.body.said,
    member: store.member,
  })
  if (reply.is === 'answer') return [stored(row)]
  if (reply.is === 'silence') return LATER
  return endedBy(reply) ?? [refused(row, reply.problem)]
}

/** What ends sending whatever was sent; null where it was the rows. */
function endedBy({ status, problem }: Extract<Reply, { is: 'refusal' }>): Ended | null {
  if (status === 401) return { is: 'signed_out' }
  if (problem.code === 'other_member') return { is: 'other_member' }
  if (status === 410 || status === 426) return { is: 'update' }
  if (problem.code === 'csrf_failed') return LATER
  if ([400, 403, 404, 409, 413, 415].includes(status)) return null
  return { is: 'later', wait_ms: problem.wait_ms }
}

/** The oldest that may go now: a child goes before the rows that name her. */
async function ready(
  store: Store,
  kind: Kind,
  most: number,
  { answers }: Untaken,
): Promise<Row[]> {
  const answered = new Set(answers.map(({ id }) => id))
  const open = (row: Row) => !answered.has(row.id)
  const children = kind === 'students' ? [] : (await store.waiting('students', ALL)).filter(open)
  if (!children.length && kind !== 'groups') {
    return (await store.waiting(kind, most + answered.size)).filter(open).slice(0, most)
  }
  const unknown = new Set(children.map((row) => row.id))
  const rows = (await store.waiting(kind, ALL)).filter((row) => !names(row, unknown))
  return (kind === 'groups' ? firstOfEachSkill(rows) : rows).filter(open).slice(0, most)
}

function names(row: Row, children: ReadonlySet<string>): boolean {
  if (row.kind !== 'groups') return children.has(about(row) ?? '')
  const seated = row.body.groups.flatMap(({ seats }) => Object.values(seats).flat())
  return seated.some((child) => children.has(child))
}

/** Groups made on top of others go when it is known what stands: the answer changes them. */
function firstOfEachSkill(rows: readonly Row[]): Row[] {
  const seen = new Set<string>()
  return rows.filter((row) => {
    const skill = row.kind === 'groups' ? `${row.lesson} ${row.body.skill_id}` : row.id
    return !seen.has(skill) && seen.add(skill)
  })
}
