/** Starts the phone: what it remembers first, so that a lesson runs on with no signal. */
import { client, type Ask, type Heard } from '../api/client'
import { localDate } from '../parts/when'
import { openStore } from '../store/open'
import { measured } from '../sync/clock'
import { tabsOf } from '../sync/tabs'
import { openDevice, type Device } from './device'
import { hears } from './hears'
import { lookForNewer, offline } from './offline.svelte'
import { usePhone, type Clock, type Member, type Phone } from './phone'
import { Readings } from './reading.svelte'
import { session } from './session.svelte'
import { Sending } from './sync.svelte'

/** What else is to be done with the phone of the member who uses it now. */
interface InUse {
  readonly wake: () => void
  readonly leave: () => void
}

const now = () => Date.now()
const broke = (error: unknown) => reportError(error)
const again = () => location.assign('/')

export async function start(): Promise<void> {
  let device: Device
  try {
    device = await openDevice()
  } catch (error) {
    session.broken = true
    return broke(error)
  }
  let inUse: InUse | null = null
  const clock = await measuring(device)
  const asked = () => void session.ask().catch(broke)
  const ask = client({
    fetch: (url, init) => fetch(url, init),
    cookies: () => document.cookie,
    now,
    heard: hears({
      now,
      measure: clock.measure,
      ended: () => session.ended(),
      other: asked,
      signal: wake,
    }),
  })
  function wake(): void {
    inUse?.wake()
    if (session.signedIn !== 'signed_in') asked()
  }

  await session.begin({
    device,
    ask,
    open(member) {
      inUse = opened(member, ask, clock)
    },
    resume: () => inUse?.wake(),
    reload: () => (inUse ? inUse.leave() : again()),
    broke,
  })
  asked()
  void offline().catch(broke)
  addEventListener('online', wake)
  addEventListener('appinstalled', keepSafely)
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake()
  })
}

function opened(member: Member, ask: Ask, clock: Clock): InUse {
  const store = openStore(member.member)
  const tabs = tabsOf(member.member)
  const world = { store, ask, now, broke }
  const readings = new Readings(world)
  const tooOld = () => void lookForNewer().catch(broke)
  const sync = new Sending({ ...world, tabs, tooOld })
  tabs.hear((news) => {
    if (news === 'erased') void readings.all()
    if (news === 'left') again()
  })
  usePhone({
    session: session as Phone['session'],
    store,
    sync,
    clock,
    reading: (url) => readings.of(url),
    ask: (method, url, asked) => ask(method, url, { ...asked, member: member.member }),
  })
  void sync.now()
  void store
    .forgetOld(localDate(now()))
    .catch(broke)
    .then(() => tabs.tell('changed'))
  keepSafely()
  return {
    wake() {
      sync.wake()
      void readings.wake()
    },
    leave: () => tabs.tell('left'),
  }
}

/** The clock of this phone, with what is known of the server's. */
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

/** Whether the browser promises it is shown where it matters; it may refuse, and be asked again. */
function keepSafely(): void {
  void navigator.storage?.persist?.()
}
