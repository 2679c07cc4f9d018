/**
 * How far the server's clock is ahead of this phone's, in ms.
 *
 * An answer tells the server's time in whole seconds, at some moment between asking and receiving:
 * the offset is known to half a second and half the round trip, no better. What the known offset
 * can explain therefore changes nothing: two tries a second apart keep their order, and on a phone
 * that tells the right time it stays 0.
 */
const A_SECOND_MS = 1000

export function measured(
  known_ms: number,
  { sent_at, received_at, date }: { sent_at: number; received_at: number; date: string | null },
): number {
  const said = date === null ? NaN : Date.parse(date)
  // A clock that was put back in between measures nothing.
  if (Number.isNaN(said) || received_at < sent_at) return known_ms
  const least = said - received_at
  const most = said + A_SECOND_MS - sent_at
  if (least <= known_ms && known_ms <= most) return known_ms
  return Math.round((least + most) / 2)
}
