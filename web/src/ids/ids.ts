/** Ids made on the phone (RFC 9562): version 7 sorts by time, version 5 follows from its name. */

/** Never read the time from it: a phone's clock may be wrong. */
export function uuid7(now = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  for (let place = 0; place < 6; place++) {
    bytes[place] = Math.floor(now / 2 ** (8 * (5 - place))) % 256
  }
  bytes[6] = (bytes[6]! & 0x0f) | 0x70
  bytes[8] = (bytes[8]! & 0x3f) | 0x80
  return written(bytes)
}

/** The id that every phone gives to the same name in the same space. */
export async function uuid5(space: string, name: string): Promise<string> {
  const of = Uint8Array.from(space.replaceAll('-', '').match(/../g)!, (two) => parseInt(two, 16))
  const text = new TextEncoder().encode(name)
  const whole = new Uint8Array(of.length + text.length)
  whole.set(of)
  whole.set(text, of.length)
  const bytes = new Uint8Array(await crypto.subtle.digest('SHA-1', whole)).slice(0, 16)
  bytes[6] = (bytes[6]! & 0x0f) | 0x50
  bytes[8] = (bytes[8]! & 0x3f) | 0x80
  return written(bytes)
}

/** The lesson of a class on a local date. */
export function lessonId(classId: string, on: string): Promise<string> {
  return uuid5(classId, on)
}

function written(bytes: Uint8Array): string {
  const text = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')
  return text.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, '$1-$2-$3-$4-$5')
}
