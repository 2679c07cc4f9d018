/** Children one by one, in the order of their names. */
import type { Child, Tonight } from '../lesson/tonight'
import type { Seat, Unit } from './units'

export interface Single {
  readonly seat: Seat
  readonly unit: Unit
}

export function singles({ children }: Tonight, units: readonly Unit[]): Single[] {
  const place = new Map(children.map((child: Child, index) => [child.id, index]))
  return units
    .flatMap((unit) => unit.seats.map((seat) => ({ seat, unit })))
    .sort((a, b) => place.get(a.seat.child.id)! - place.get(b.seat.child.id)!)
}
