/** Sentences of what the phone finds in groups by itself; each may be read aloud. */

const NUMBERS = [
  'no',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
]

const number = (n: number) => NUMBERS[n] ?? String(n)
const adults = (n: number) => `${number(n)} ${n === 1 ? 'adult' : 'adults'}`
const groups = (n: number) => `${number(n)} ${n === 1 ? 'group' : 'groups'}`
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

function joined(names: readonly string[]): string {
  if (names.length < 2) return names.join('')
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`
}

export const regroup = {
  // stops
  notHere: (name: string) => `${name} is not here tonight`,
  hasLeft: 'somebody who has left the class is in this group',
  fell: 'a teacher looks at it first',
  notToday: (name: string) => `${name}: not today`,
  ofChild: (name: string, sentence: string) => `${name}: ${sentence}`,
  newInLift: (name: string) => `${name}: new on this phone, no lifts yet`,
  more: (missing: number, role: string) => `${number(missing)} more as ${role}`,
  tooMany: (over: number, role: string) => `${number(over)} too many as ${role}`,
  noSpotter: 'no adult is free tonight who may spot this',
  room: (needed: number, there: number) => {
    const named = there ? `${number(there)} ${there === 1 ? 'is' : 'are'}` : 'none are'
    return `${adults(needed)} should be in the room for this, ${named} named`
  },
  mats: (most: number, made: number) =>
    `the mats hold ${groups(most)} in turn, not ${number(made)}`,
  turns: (most: number, made: number) =>
    `whoever is free to spot takes ${groups(most)} in turn, not ${number(made)}`,

  // asks
  pair: (asked: string, base: string, flyer: string) => `${asked} for ${base} with ${flyer}`,
  newHere: (name: string) => `a look at ${name}, new on this phone`,
  line: (size: number) => `a look at a line of ${number(size)}`,
  look: 'a teacher looks at this group first',

  // still to place
  notReady: 'A few more tries come first; another hold would help tonight.',
  notKnown: 'New on this phone: a teacher finds a place by hand.',
  anotherHold: 'Another hold would suit tonight.',
  wouldHelp: (another: string) => `${capital(another)} would help; so would another hold.`,
  moreAdults: (missing: number) =>
    missing === 1
      ? 'One more adult free to spot would help; so would another hold.'
      : `${capital(number(missing))} more adults free to spot would help; so would another hold.`,
  freeMat: 'A free mat would help.',
  turnWith: (group: number) =>
    `A turn with group ${group} would work, while somebody there rests.`,
  laterTurn: 'There is no group left over this time; a later turn or another hold would help.',

  // a child who comes late
  notHereForIt: (name: string) => `${name} is not here for it tonight`,
  hasAPlace: (name: string) => `${name} has a place already`,

  // the least change
  instead: (group: number, role: string, come: readonly string[], go: readonly string[]) =>
    `group ${group}: another ${role}, ${joined(come)} instead of ${joined(go)}`,
  comes: (group: number, role: string, come: readonly string[]) =>
    `group ${group}: ${joined(come)} as ${role} too`,
  goes: (group: number, role: string, go: readonly string[]) =>
    `group ${group}: without ${joined(go)} as ${role}`,
  goneGroup: (group: number) => `group ${group} is not there this time`,
  newGroup: (group: number, roles: readonly string[]) =>
    `group ${group} is new: ${roles.join('; ')}`,
  inRole: (role: string, names: readonly string[]) =>
    role === 'partner' ? joined(names) : `${role} ${joined(names)}`,
  leftOver: (names: readonly string[]) => `still to place: ${joined(names)}`,
  left: 'somebody who has left the class',
}
