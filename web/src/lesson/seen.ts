/** How often other phones' entries are asked for. */
const EVERY_MS = 60_000

interface Looked {
  /** Somebody looks at this phone again. */
  readonly back: () => void
  /** About a minute later she still does, as far as a phone can tell. */
  readonly still: () => void
}

/** Calls while this phone is looked at and may have a signal; returns the way out. */
export function whileSeen({ back, still }: Looked): () => void {
  const when = (run: () => void) => () => {
    if (document.visibilityState === 'visible' && navigator.onLine) run()
  }
  const seen = when(back)
  const timer = setInterval(when(still), EVERY_MS)
  document.addEventListener('visibilitychange', seen)
  return () => {
    clearInterval(timer)
    document.removeEventListener('visibilitychange', seen)
  }
}
