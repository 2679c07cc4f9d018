/** Starts the phone: what it remembers first, so that a lesson runs on with no signal. */
import { client, type Ask, type Heard } from '../api/client'
import { localDate } from '../parts/when'
import { openStore } from '../store/open'
import { measured } from '../sync/clock'
import { tabsOf } from '../sync/tabs'
import { openDevice, type Device } from './device'
import { offline } from './offline.svelte'
import { usePhone, type Clock, type Member, type Phone } from './phone'
import { Readings } from './reading.svelte'
import { session } from './session.svelte'
import { Sending } from './sync.svelte'

const SIGNAL_MS = 10_000
const now = () => Date.now()
const broke = (error: unknown) => reportError(error)

export async function start(): Promise<void> {
  let device: Device
  try {
    device = await openDevice()
  } catch (error) {
    session.broken = true
    return broke(error)
  }
  const phones = new Phones()
  const clock = await measuring(device)
  const ask = client({
    fetch: (url, init) => fetch(url, init),
    cookies: () => document.cookie,
    now,
    heard: listener(clock.measure, () => phones.wake()),
  })
  await session.begin({
    device,
    ask,
    open: (member) => phones.open(member, ask, clock),
    resume: () => phones.resume(),
    reload: () => phones.leave(),
  })
  void session.ask().catch(broke)
  void offline().catch(broke)
  addEventListener('online', () => phones.wake())
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') phones.wake()
  })
}

/** The phone of one member after another; the second comes only where there was none. */
class Phones {
  #resume = () => {}
  #leave = () => location.assign('/')

  open(member: Member, ask: Ask, clock: Clock): void {
    const store = openStore(member.member)
    const tabs = tabsOf(member.member)
    const world = { store, ask, now, broke }
    const readings = new Readings(world)
    const sync = new Sending({ ...world, tabs })
    tabs.hear((news) => {
      if (news === 'erased') void readings.all()
      if (news === 'left') location.assign('/')
    })
    usePhone({
      session: session as Phone['session'],
      store,
      sync,
      clock,
      reading: (url) => readings.of(url),
      ask: (method, url, asked) => ask(method, url, { ...asked, member: member.member }),
    })
    this.#leave = () => tabs.tell('left')
    this.#resume = () => {
      sync.wake()
      void readings.wake()
    }
    void sync.now()
    void sync.count().catch(broke)
    void store.forgetOld(localDate(now())).catch(broke)
    void navigator.storage?.persist?.()
  }

  wake(): void {
    this.#resume()
    if (session.signedIn !== 'signed_in') void session.ask().catch(broke)
  }

  resume(): void {
    this.#resume()
  }

  leave(): void {
    this.#leave()
  }
}

async function measuring(device: Device) {
  let known = (await device.get('clock_offset_ms')) ?? 0
  return {
    now,
    offset_ms: () => known,
    measure(heard: Heard) {
      const found = measured(known, heard)
      if (found === known) return
      known = found
      device.set('clock_offset_ms', found).catch(broke)
    },
  }
}

/** What every answer tells beside what it was asked for. */
function listener(measure: (heard: Heard) => void, signal: () => void) {
  let silent = false
  let woken = -Infinity
  return (heard: Heard) => {
    const { reply } = heard
    if (reply.is === 'silence') {
      silent = true
      return
    }
    measure(heard)
    const code = reply.is === 'refusal' ? reply.problem.code : null
    if (code === 'signed_out') session.ended()
    if (code === 'other_member') void session.ask().catch(broke)
    // Some of a server may answer and some not: then this must not go round and round.
    if (!silent || now() - woken < SIGNAL_MS) return
    silent = false
    woken = now()
    signal()
  }
}
