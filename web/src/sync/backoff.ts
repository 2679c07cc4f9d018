/** How long to wait after so many tries in a row that brought nothing. */
const FIRST_MS = 2_000
const LONGEST_MS = 5 * 60_000

/** `chance` from 0 to 1 spreads phones that lost the same signal at once. */
export function delay_ms(failures: number, chance: number): number {
  return Math.min(LONGEST_MS, FIRST_MS * 2 ** failures) * (0.5 + chance / 2)
}
