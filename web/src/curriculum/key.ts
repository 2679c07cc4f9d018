const LONGEST = 60

/** A key made of a name: small letters, digits and `_`, a letter first; empty where none is left. */
export function keyOf(name: string): string {
  return name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '_')
    .replace(/^[^a-z]+/, '')
    .slice(0, LONGEST)
    .replace(/_+$/, '')
}
