/** What stands in the fields of a form, as the API takes it. */

/**
 * The number that is written, with a point or a comma; null where nothing is. What is no number
 * goes as it was written: the server says so at its field.
 */
export function figure(text: string): number | string | null {
  const written = text.trim().replace(',', '.')
  if (!written) return null
  const found = Number(written)
  return Number.isFinite(found) ? found : text.trim()
}

/** What is written, null where nothing is. */
export function filled(text: string): string | null {
  return text.trim() || null
}

/** Of what is said now only what differs, so that nobody else's change is undone. */
export function changes<T extends object>(before: T, now: T): Partial<T> {
  const names = Object.keys(now) as (keyof T)[]
  const other = (name: keyof T) => JSON.stringify(before[name]) !== JSON.stringify(now[name])
  return Object.fromEntries(names.filter(other).map((name) => [name, now[name]])) as Partial<T>
}

/** Without what is null: what the API takes for “not said”. */
export function given<T extends object>(said: T): Partial<T> {
  return Object.fromEntries(
    Object.entries(said).filter(([, value]) => value !== null),
  ) as Partial<T>
}

/** Whether a name was written as it is called, whatever its case and spaces. */
export function sameName(written: string, name: string): boolean {
  const plain = (text: string) =>
    text.normalize('NFC').trim().replace(/\s+/g, ' ').toLocaleLowerCase()
  return plain(written) === plain(name)
}

/** Who of them is called so; null for nobody. */
export function namedIn<T extends { readonly name: string }>(
  rows: readonly T[],
  written: string,
): T | null {
  return rows.find((one) => sameName(written, one.name)) ?? null
}
