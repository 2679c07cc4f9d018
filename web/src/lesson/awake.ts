/** Keeps the screen awake during a lesson, where the phone can; returns the way to let it sleep. */
export function awake(): () => void {
  let lock: WakeLockSentinel | null = null
  let over = false

  async function take(): Promise<void> {
    if (!('wakeLock' in navigator) || document.visibilityState !== 'visible') return
    try {
      const taken = await navigator.wakeLock.request('screen')
      if (over) await taken.release()
      else lock = taken
    } catch {
      // A phone that saves its battery refuses: then its own time-out holds, as elsewhere.
    }
  }

  const seen = () => void take()
  document.addEventListener('visibilitychange', seen)
  seen()
  return () => {
    over = true
    document.removeEventListener('visibilitychange', seen)
    void lock?.release()
  }
}
