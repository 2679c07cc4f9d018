/** Tabs of one member on this phone tell each other what has changed on it. */
/** `erased`: what was read names a child who was erased. `left`: who used this phone has gone. */
export type News = 'changed' | 'erased' | 'left'

export interface Tabs {
  tell(news: News): void
  /** Called with what any tab tells, this one too; returns the way out. */
  hear(heard: (news: News) => void): () => void
  close(): void
}

export function tabsOf(member: string): Tabs {
  const channel = new BroadcastChannel(`counterpoise-${member}`)
  const hearers = new Set<(news: News) => void>()
  const pass = (news: News) => hearers.forEach((heard) => heard(news))
  channel.onmessage = ({ data }: MessageEvent<News>) => pass(data)
  return {
    tell(news) {
      channel.postMessage(news)
      pass(news)
    },
    hear(heard) {
      hearers.add(heard)
      return () => hearers.delete(heard)
    },
    close: () => channel.close(),
  }
}

/** A page that the phone has put to sleep may hold its lock for as long as it sleeps. */
const PATIENCE_MS = 60_000

/** One tab sends at a time; where the browser gives no lock two at once do no harm. */
export async function locked<T>(member: string, run: () => Promise<T>): Promise<T> {
  if (!navigator.locks) return run()
  let given = false
  const signal = AbortSignal.timeout(PATIENCE_MS)
  try {
    return await navigator.locks.request(`send-${member}`, { signal }, () => {
      given = true
      return run()
    })
  } catch (error) {
    if (given) throw error
    return run()
  }
}
