/** Who is signed in, and whose rows this phone is writing. */
import { SESSION, type Ask } from '../api/client'
import { openStore } from '../store/open'
import type { Device } from './device'
import { phone, type Member, type Session, type SignedIn } from './phone'

const LOGIN = '/_allauth/browser/v1/auth/login'
const AUTH = '/_allauth/browser/v1/auth/session'
const ACCEPT = '/api/v1/invitations/accept'
const SENDING_MS = 5_000

interface World {
  readonly device: Device
  readonly ask: Ask
  /** Lets the screens stand on this member's phone. */
  readonly open: (member: Member) => void
  /** She is signed in again: what could not be sent or read meanwhile is. */
  readonly resume: () => void
  /** Begins anew in every tab: nothing of whoever was here stays in memory. */
  readonly reload: () => void
  /** The disk of this phone did not answer as it should. */
  readonly broke: (error: unknown) => void
}

/** A school that expects her, and from which day on. */
export interface Coming {
  readonly school_name: string
  readonly from: string
}

/**
 * `in`: go on. `choose`: the account is in several schools. `other`: not who has rows here now.
 * `not_yet`: her first day is to come.
 */
export type SignInAnswer =
  | { readonly is: 'in' | 'choose' | 'other' | 'not_yet' | 'nowhere' | 'wrong' | 'no_signal' }
  | { readonly is: 'too_often'; readonly wait_ms: number | null }

interface Said {
  readonly signed_in: boolean
  readonly email?: string
  readonly members?: readonly Member[]
  readonly coming?: readonly Coming[]
}

export interface Left {
  readonly member: Member
  readonly tries: number
  readonly waiting: number
}

export class PhoneSession implements Session {
  signedIn = $state.raw<SignedIn>('unknown')
  member = $state.raw<Member | null>(null)
  /** Of the account that is signed in: as whom one may go on. */
  members = $state.raw<readonly Member[]>([])
  /** Of the account that is signed in: where she may go on from a later day. */
  coming = $state.raw<readonly Coming[]>([])
  /** Of the account that is signed in, or was last. */
  email = $state.raw('')
  /** This browser keeps nothing: no row could be written. */
  broken = $state.raw(false)
  #world: World | null = null

  get #on(): World {
    if (!this.#world) throw new Error('the phone was not started')
    return this.#world
  }

  async begin(world: World): Promise<void> {
    this.#world = world
    const { device, broke } = world
    const members = await device.members()
    const current = await device.get('current')
    const member = members.find((one) => one.member === current)
    this.email = (await device.get('last_email')) ?? ''
    // Whoever does not use this phone now leaves no names on it, only rows. What cannot be read of
    // hers is no hindrance to who does.
    const others = members.filter((one) => one !== member)
    await Promise.all(
      others.map((one) => withStore(one, (store) => store.forgetNames()).catch(broke)),
    )
    if (member) this.#use(member)
  }

  /**
   * Asks the server who is signed in, and tells whether it has answered: with no signal everything
   * stays as it is.
   */
  async ask(): Promise<boolean> {
    const { device, ask } = this.#on
    if ((await device.get('sign_out_due')) && !(await this.#endThere())) return false
    const reply = await ask('GET', SESSION)
    if (reply.is !== 'answer') return false
    const said = reply.body as Said
    this.members = said.signed_in ? (said.members ?? []) : []
    this.coming = said.signed_in ? (said.coming ?? []) : []
    if (said.signed_in) this.email = said.email ?? this.email
    const live = this.members.filter((one) => !one.ended)
    const current = this.member ?? (live.length === 1 ? live[0]! : null)
    const found = this.members.find((one) => one.member === current?.member)
    if (found) await this.choose(found)
    else this.signedIn = said.signed_in && !current ? 'signed_in' : 'ended'
    return true
  }

  /**
   * The server has answered that nobody is signed in any more. Whose access has ended is told so
   * of all that she reads; she can still send.
   */
  ended(): void {
    if (this.member?.ended) return
    this.signedIn = 'ended'
    this.members = []
    this.coming = []
  }

  async signIn(email: string, password: string, stay: boolean): Promise<SignInAnswer> {
    const { device, ask } = this.#on
    const login = () => ask('POST', LOGIN, { body: { email, password } })
    let reply = await login()
    if (reply.is === 'refusal' && reply.status === 409) {
      await ask('DELETE', AUTH) // somebody else is signed in still
      reply = await login()
    }
    if (reply.is === 'silence') return { is: 'no_signal' }
    if (reply.is === 'refusal') {
      const { status, problem } = reply
      return status === 429 ? { is: 'too_often', wait_ms: problem.wait_ms } : { is: 'wrong' }
    }
    // Only what is new is written: on a full phone too she signs in again, and sends.
    if (await device.get('sign_out_due')) await device.set('sign_out_due', false)
    if ((await device.get('last_email')) !== email) await device.set('last_email', email)
    await ask('PUT', SESSION, { body: { stay } })
    return { is: (await this.ask()) ? this.#afterSignIn() : 'no_signal' }
  }

  /** Uses an invitation up and signs in with it; else tells which field it does not go with. */
  async accept(
    secret: string,
    email: string,
    password: string,
  ): Promise<SignInAnswer | { readonly pointer: string | null }> {
    const reply = await this.#on.ask('POST', ACCEPT, { body: { secret, email, password } })
    if (reply.is === 'silence') return { is: 'no_signal' }
    if (reply.is === 'answer') return this.signIn(email, password, false)
    const { status, problem } = reply
    if (status === 429) return { is: 'too_often', wait_ms: problem.wait_ms }
    return { pointer: problem.pointer }
  }

  #afterSignIn(): 'in' | 'choose' | 'other' | 'not_yet' | 'nowhere' {
    if (!this.members.length) return this.coming.length ? 'not_yet' : 'nowhere'
    if (this.member) return this.signedIn === 'signed_in' ? 'in' : 'other'
    return 'choose'
  }

  /** Goes on as this member of the account; another one's screens are left behind. */
  async choose(member: Member): Promise<void> {
    const { device, reload, resume, broke } = this.#on
    const { member: before, signedIn } = this
    if (before?.member === member.member) {
      this.member = member
      this.signedIn = 'signed_in'
      if (signedIn === 'ended') resume()
      return device.remember([member]).catch(broke)
    }
    await device.remember([member])
    await device.set('current', member.member)
    if (before) return reload()
    this.signedIn = 'signed_in'
    this.#use(member)
  }

  /**
   * Tells whether it is done: not where rows wait that a few seconds could not send, unless they
   * are to stay here. Rows never go; documents do, because they hold names.
   */
  async signOut({ leaveRows }: { leaveRows: boolean }): Promise<boolean> {
    const { device, reload } = this.#on
    const { store, sync } = phone()
    if (!leaveRows) {
      await Promise.race([sync.now(), after(SENDING_MS)])
      if ((await store.counts()).waiting) return false
    }
    await device.set('sign_out_due', true)
    await device.set('current', null)
    await device.set('last_email', '')
    await Promise.race([this.#endThere(), after(SENDING_MS)])
    await store.forgetNames()
    reload()
    return true
  }

  /** Members whose rows wait on this phone for them. */
  async left(): Promise<Left[]> {
    const { device, broke } = this.#on
    const found: Left[] = []
    for (const member of await device.members()) {
      if (member.member === this.member?.member) continue
      const counts = await withStore(member, (store) => store.counts()).catch(broke)
      if (counts?.waiting) found.push({ member, ...counts })
    }
    return found
  }

  async #endThere(): Promise<boolean> {
    const { device, ask } = this.#on
    const reply = await ask('DELETE', AUTH)
    // 401 says that nobody is signed in any more.
    const done = reply.is === 'answer' || (reply.is === 'refusal' && reply.status === 401)
    if (done) await device.set('sign_out_due', false)
    return done
  }

  #use(member: Member): void {
    this.#on.open(member)
    this.member = member
  }
}

async function withStore<T>(
  { member }: Member,
  run: (store: ReturnType<typeof openStore>) => Promise<T>,
): Promise<T> {
  const store = openStore(member)
  try {
    return await run(store)
  } finally {
    store.close()
  }
}

function after(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms))
}

export const session = new PhoneSession()
