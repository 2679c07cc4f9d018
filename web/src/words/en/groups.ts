const NUMBERS = [
  'no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten',
]
const number = (n: number) => NUMBERS[n] ?? String(n)
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

function list(all: readonly string[], last: string): string {
  if (all.length < 2) return all.join('')
  return `${all.slice(0, -1).join(', ')} ${last} ${all.at(-1)}`
}
const joined = (names: readonly string[]) => list(names, 'and')

const stops = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`)

export const groups = {
  title: 'Groups',
  oneOf: (names: readonly string[]) => list(names, 'or'),
  joined,

  // all skills of tonight
  decided: 'Tonight’s groups',
  noneDecided: 'No groups are kept yet. Open a hold below: its groups are there to look at.',
  suggested: 'Suggested',
  others: 'Other holds in groups',
  othersNeed: 'Groups of these are worked out with a signal.',
  placed: (placed: number, here: number, made: number, from: string) =>
    `${capital(number(made))} ${made === 1 ? 'group' : 'groups'}, ` +
    `${placed} of ${here} placed; ${from}`,
  from: {
    made: {
      waiting: 'made on this phone, waiting to be sent',
      stored: 'made on this phone, sent',
      refused: 'made on this phone; look: the server has not taken them',
    },
    kept: 'kept',
    proposed: 'proposed',
  },

  // one skill
  back: 'Groups',
  group: (n: number) => `Group ${n}`,
  turn: (n: number) => `turn ${n}`,
  hasLeft: 'somebody who has left the class',
  gone: 'not here for it',
  source: {
    made: {
      waiting: 'Made on this phone, waiting to be sent.',
      stored: 'Made on this phone, and sent.',
      held: 'Made on this phone; a head teacher decides.',
      refused: 'Made on this phone; the server has not taken them.',
    },
    kept: 'Kept for tonight.',
    proposed: 'Proposed; nothing is kept yet.',
  },
  proven: 'By the rules nothing better exists.',
  bestFound: 'The best found in the time there was.',
  notChecked:
    'This phone cannot say what stops or asks in this hold: open it once with a signal. ' +
    'Look at each group yourself.',
  noGroups: 'No groups yet, and no signal to work some out. They can be formed by hand.',
  nonePossible: 'No groups can be proposed for this hold tonight.',
  working: 'Working out groups …',
  cleanWhen: (text: string) => stops(`Clean when: ${text}`),
  spot: (text: string) => stops(`Spot: ${text}`),
  oneUp: 'One group up at a time for each adult; the others wait beside the mat.',
  agreed: (parts: readonly string[]) => stops(`Agreed before: ${parts.join(', ')}`),
  steps: (n: number) => `${number(n)} ${n === 1 ? 'step' : 'steps'}`,
  agreedWayOut: (text: string) => `way out: ${text}`,
  sentence: stops,
  capital,
  waysIn: (text: string) => stops(`In: ${text}`),
  waysOut: (text: string) => stops(`Out: ${text}`),
  spots: (names: readonly string[], spot: string) =>
    `${joined(names)} ${names.length === 1 ? 'spots' : 'spot'}, ${spot}`,
  standsBy: (names: readonly string[]) =>
    `${joined(names)} ${names.length === 1 ? 'stands' : 'stand'} by, no spot`,
  somebodySpots: (spot: string) => `An adult spots, ${spot}`,
  somebodyStandsBy: 'An adult stands by, no spot',
  left: 'Still to place',
  placeIn: (name: string) => `has a place in ${name.charAt(0).toLowerCase()}${name.slice(1)}`,
  leftLine: (sentence: string, alternative: string | null) =>
    [sentence, alternative].filter(Boolean).map((one) => stops(capital(one!))).join(' '),
  toCard: 'Card',
  toMat: 'To the mat',

  // changing them
  hint: 'Tap two names to change places.',
  picked: (name: string) => `${name}: now another name, or ${name} again to leave it.`,
  swapped: (one: string, other: string) => `${one} and ${other} have changed places`,
  elsewhere: 'Elsewhere',
  hereAs: (group: number, role: string) => `To group ${group} as ${role}`,
  newGroupAs: (role: string) => `To a new group as ${role}`,
  moved: (name: string, where: string) => `${name}: ${where}`,
  where: (group: number | null, role: string) =>
    group === null ? `a new group, ${role}` : `group ${group + 1}, ${role}`,
  toNone: (name: string) => `${name} in no group`,
  outOf: (name: string) => `${name} is in no group now`,
  notToday: (name: string) => `${name}: not today`,
  filled: (name: string, changes: string) => `The place of ${name}: ${changes}`,
  fill: (name: string) => `Fill the place of ${name}`,
  find: 'Find a place',
  findPlace: (name: string) => `Find a place for ${name}`,
  hasPlace: (name: string, changes: string) => `${name} has a place: ${changes}`,
  changes: (sentences: readonly string[]) =>
    sentences.length ? stops(sentences.join('; ')) : 'nothing else changes.',
  regroup: 'Regroup now',
  regrouped: (how: string) => `Regrouped. ${how}`,
  nothingChanges: (how: string) => `Nothing changes. ${how}`,
  keep: 'Keep these groups',
  kept: 'Kept on this phone',
  teacherKeeps: 'A teacher keeps these groups.',
  needsTable: 'This needs a signal once: this hold was never opened with one.',

  // a change that cannot be kept as it is
  draft: 'Not kept yet',
  draftStop: (sentence: string) => `Stop: ${stops(sentence)}`,
  draftStops: 'Something stops these groups as they are.',
  draftLocked: (numbers: readonly number[]) =>
    `${numbers.length === 1 ? 'Group' : 'Groups'} ${joined(numbers.map(String))} ` +
    `${numbers.length === 1 ? 'is' : 'are'} locked: a teacher unlocks first.`,
  draftEmpty: 'Nobody would be in a group any more.',
  draftTeacher: 'A teacher looks at these groups first; they are not kept from here.',
  before: 'Back to how it was',
  leastChange: 'The least change',
  takeIt: 'Take it',

  // they chose themselves
  chose: 'They chose themselves',
  choseHint: 'Tap the names group by group; tap one again to take it out.',
  next: (group: number, role: string) => `Next: group ${group}, ${role}`,
  nextGroup: 'Next group',
  names: 'Names',
  everybody: 'Everybody has a place.',
  choseDone: 'Look at them',
  inPlace: (group: number, role: string) =>
    role === 'partner' ? `group ${group}` : `group ${group}, ${role}`,
  place: (role: string, names: readonly string[]) => `${role}: ${names.join(', ') || 'nobody yet'}`,
  cancel: 'Leave it',

  // locks
  close: 'Lock',
  open: 'Unlock',
  lock: (n: number) => `Lock group ${n}`,
  unlock: (n: number) => `Unlock group ${n}`,
  locked: { everywhere: 'Locked', here: 'Locked on this phone' },
  isLocked: (n: number) => `Group ${n} is locked: nobody changes it until a teacher unlocks it`,
  isUnlocked: (n: number) => `Group ${n} is not locked any more`,
  lockedHere: (n: number) =>
    `Group ${n} is locked on this phone. For everybody it is once the server has it.`,
  unlockNeedsSignal: 'Unlocking needs a signal: the lock holds for everybody.',
  lockRefused: 'Somebody else has changed these groups: look at them again.',

  // asks
  pass: 'Pass',
  passAsk: (sentence: string) => `Pass: ${sentence}`,
  passFor: 'For this evening, by a teacher.',
  reasons: {
    seen: 'seen tonight',
    in_parts: 'done in parts first',
    on_the_floor: 'done on the floor first',
    close_spot: 'an adult stays close',
    known_before: 'known from before',
    looked_at: 'looked at together',
  },
  passed: (reason: string) => `Passed for this evening: ${reason}`,
  passNeedsSignal: 'Passing an ask needs a signal. A teacher may still decide on the mat.',
  passRefused: 'The server has not taken it: something stops it, or the evening is over.',
  passedAlready: 'Nothing asks there any more.',

  // two sets
  two: 'Two sets of groups',
  why: {
    newer:
      'Somebody else has changed these groups since this phone read them. Nothing is lost: choose.',
    stopped: 'Something stops this phone’s groups, or a group is locked.',
    not_allowed: 'A teacher keeps these groups.',
    other: 'The server could not take this phone’s groups.',
  },
  notTaken: 'The server has not taken these groups',
  mine: 'On this phone',
  server: 'On the server',
  theirs: 'On the server, by somebody else',
  theirsNone: 'Nothing is kept on the server.',
  theirsUnread: 'They are read as soon as there is a signal.',
  takeTheirs: 'Take the server’s',
  takeNone: 'Put this phone’s aside',
  keepMine: 'Keep mine',
  sendAgain: 'Send mine again',
  tookTheirs: 'The server’s groups stand here now',
  keptMine: 'This phone’s groups are sent instead',
  line: (n: number, parts: readonly string[]) => `Group ${n}: ${parts.join('; ') || 'nobody'}`,
  inRole: (role: string, names: string) => (role === 'partner' ? names : `${role} ${names}`),
}
