const tries = (n: number) => (n === 1 ? '1 try' : `${n} tries`)
const entries = (n: number) => (n === 1 ? '1 entry' : `${n} entries`)

export const sync = {
  what: (n: number, only: boolean) => (only ? tries(n) : entries(n)),
  allSent: 'All sent',
  reading: 'Reading what is on this phone …',
  since: (what: string, when: string) => `${what} on this phone since ${when}`,
  signedOut: (what: string) => `${what} not sent: sign in again`,
  otherMember: (what: string) => `${what} not sent: somebody else is signed in`,
  update: (what: string) => `${what} not sent: a newer version is needed`,
  signedOutSent: 'Signed out: what you enter stays on this phone',
  held: (n: number) => `${n} with a head teacher`,
  refused: (n: number) => (n === 1 ? '1 needs a look' : `${n} need a look`),
  open: 'What is on this phone',
  newer: 'A newer version is here.',
  useNewer: 'Use it now',
}
