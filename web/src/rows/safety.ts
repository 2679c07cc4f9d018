/** Whether what waits here is at risk: some browsers clear a tab that nobody visits for days. */
import type { Counts } from '../store/store'

const TWO_DAYS_MS = 2 * 24 * 3600 * 1000

export function installed(): boolean {
  return (
    matchMedia('(display-mode: standalone)').matches ||
    ('standalone' in navigator && navigator.standalone === true)
  )
}

export function waitsTooLong({ since }: Counts, now: number): boolean {
  return since !== null && now - since > TWO_DAYS_MS && !installed()
}
