import { localDate } from '../parts/when'
import { phone } from '../shell/phone'

/** The local date now, by the server's clock as far as it is known. */
export function today(): string {
  const { clock } = phone()
  return localDate(clock.now() + clock.offset_ms())
}
