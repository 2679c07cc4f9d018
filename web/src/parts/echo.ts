/** A finger that has not quite gone away: a second tap that nobody means. */
export interface Tap {
  /** In ms, by the clock of events. */
  readonly at: number
  readonly x: number
  readonly y: number
}

/** Sooner than this, and as near as this, a second tap is the echo of the first. */
export const ECHO_MS = 300
const ECHO_PX = 24

export function tapOf(event: MouseEvent): Tap {
  return { at: event.timeStamp, x: event.clientX, y: event.clientY }
}

export function echoes(first: Tap, second: Tap): boolean {
  return (
    second.at - first.at < ECHO_MS && Math.hypot(second.x - first.x, second.y - first.y) < ECHO_PX
  )
}

/** What was tapped has gone: what lies beneath does not hear the echo. */
export function keepFromBeneath(first: Tap): void {
  const heard = (event: MouseEvent) => {
    if (event.detail === 0 || !echoes(first, tapOf(event))) return
    event.preventDefault()
    event.stopPropagation()
  }
  addEventListener('click', heard, { capture: true })
  setTimeout(() => removeEventListener('click', heard, { capture: true }), ECHO_MS)
}
