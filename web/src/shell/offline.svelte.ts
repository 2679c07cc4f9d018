/** The shell of this client on this phone: there without a signal, and brought up to date. */
import { phone } from './phone'

const SCRIPT = '/sw.js'
const HOUR_MS = 3_600_000
const LEAVES_WITHIN_MS = 5_000

/** What the browser has where it asks who may name a script; its types do not come with it. */
interface Policies {
  createPolicy(
    name: string,
    rules: { createScriptURL: (url: string) => string },
  ): { createScriptURL: (url: string) => string }
}

class Newer {
  /** A newer version is on this phone and waits to be used. */
  waits = $state.raw(false)
  #worker: ServiceWorker | null = null

  found(worker: ServiceWorker | null): void {
    this.#worker = worker
    this.waits = true
  }

  /**
   * Every write stands in line: when an empty one is through, so are all before it; a disk that
   * refuses it has none to wait for. Nothing more is sent, since a worker that is asked for
   * something while it leaves may stay on for minutes; then the page is read anew and offers the
   * newer version once more.
   */
  async use(): Promise<void> {
    phone().sync.close()
    await phone()
      .store.settle([], Date.now())
      .catch(() => {})
    if (!this.#worker) return location.reload() // another tab uses it already
    navigator.serviceWorker.addEventListener('controllerchange', () => location.reload())
    this.#worker.postMessage('use')
    setTimeout(() => location.reload(), LEAVES_WITHIN_MS)
  }
}

export const newer = new Newer()

/** Over plain http from another machine a browser has no service worker: then there is none. */
export async function offline(): Promise<void> {
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return
  const { trustedTypes } = globalThis as { trustedTypes?: Policies }
  const policy = trustedTypes?.createPolicy('counterpoise', { createScriptURL: () => SCRIPT })
  const { serviceWorker } = navigator
  const known = serviceWorker.controller !== null
  const registration = await serviceWorker.register(policy?.createScriptURL(SCRIPT) ?? SCRIPT)
  const look = (worker: ServiceWorker | null) => {
    if (worker?.state === 'installed' && serviceWorker.controller) newer.found(worker)
  }
  look(registration.waiting)
  registration.addEventListener('updatefound', () => {
    const worker = registration.installing
    worker?.addEventListener('statechange', () => look(worker))
  })
  serviceWorker.addEventListener('controllerchange', () => {
    if (known) newer.found(null)
  })
  setInterval(() => void lookForNewer(), HOUR_MS)
}

/** Asks the server for a newer version; with no signal there is none. */
export async function lookForNewer(): Promise<void> {
  const registration = await navigator.serviceWorker?.getRegistration()
  await registration?.update().catch((error: unknown) => {
    if (!(error instanceof TypeError)) throw error
  })
}
