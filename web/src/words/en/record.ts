export const record = {
  title: 'Child',
  age: 'Age',
  years: (age: number) => `${age} years`,
  born: 'Born',
  bornIn: (month: string, year: number) => `${month} ${year}`,
  notKnown: 'not known',
  height: 'Height',
  heightOn: (figure: string, units: 'metric' | 'imperial', day: string) =>
    `${figure} ${units === 'metric' ? 'cm' : 'inches'}, ${day}`,
  note: 'Note',
  left: 'Left on',
  handsOn: 'Hands-on spotting',
  lifting: 'Lifting',
  agreedWords: { agreed: 'agreed', withdrawn: 'withdrawn', missing: 'not agreed yet' },
  classes: 'Classes',
  open: (day: string) => `since ${day}`,
  days: (first: string, last: string) => `${first} to ${last}`,
  place: (name: string, days: string, trial: boolean) =>
    `${name}, ${trial ? 'on trial ' : ''}${days}`,
  noPlace: 'No place in a class.',

  person: 'Name, birth, note',

  // places
  places: 'Places in classes',
  act: 'What happens',
  acts: { leave: 'leaves', move: 'moves', stay: 'stays' },
  lastDay: 'Last day there',
  lastDayHint: 'Empty: open again.',
  lastDayMissing: 'On which day?',
  newClass: 'To',
  firstThere: 'First day there',
  firstNotLater: 'This should be later than her first day in the class that she leaves.',
  belongsFrom: 'Belongs from',
  belongsHint: 'Her trial ends the day before.',
  another: 'A further class',
  leaving: 'Leaving the school',
  leavingHelp:
    'After her last day she is on no list. What was logged stays as long as your school keeps it.',
  lastInSchool: 'Last day in the school',

  // height and mass
  measure: 'Measure height',
  on: 'Measured on',
  mass: 'Mass',
  massHelp:
    'For head teachers alone, from a guardian’s form, with the guardian’s dated agreement. ' +
    'Nobody is weighed in class. Each time it is looked at is kept in the register.',
  massShow: 'Show what is kept',
  massIs: (figure: number | null) =>
    figure === null ? 'None that may be used.' : `${figure} kg, the latest alone`,
  massKg: 'Mass (kg)',

  // agreements
  agreements: 'Agreements of her guardian',
  elsewhere: 'Your school keeps agreements on paper: without an entry lifting is no stop.',
  kind: 'To',
  kinds: {
    hands_on: 'hands-on spotting',
    lifting: 'lifting and being lifted',
    mass: 'the recording of a mass',
  },
  shortKinds: { hands_on: 'hands-on spotting', lifting: 'lifting', mass: 'a mass on record' },
  agreedOn: 'Agreed on',
  agreedLine: (kind: string, day: string) => `${kind}: agreed on ${day}`,
  withdrawnLine: (kind: string, agreed: string, day: string) =>
    `${kind}: agreed on ${agreed}, withdrawn on ${day}`,
  withdraw: 'Withdraw',
  withdrawnOn: 'Withdrawn on',
  newAgreement: 'Enter an agreement',
  noAgreements: 'None is entered.',

  // not for now
  notForNow: 'Not for now',
  notForNowHelp: 'Never write why: only what is not for now, and until when.',
  nothingBlocked: 'Nothing is held back today.',
  blocks: 'What is not for now',
  blocksOf: {
    wrists: 'the wrists rest',
    back_bend: 'no back bends',
    neck: 'the neck rests',
    knees: 'the knees rest',
    landing: 'no jumps or landings',
    solo: 'nothing alone',
    partner: 'no work in twos',
    base: 'not as base',
    flyer: 'not as flyer',
    spotter: 'not as spotter',
    front: 'not in front',
    middle: 'not in the middle',
    back: 'not at the back',
  },
  until: (what: string, day: string) => `${what} until ${day}`,
  from: 'From',
  lastOf: 'Last day',
  enter: 'Enter',
  allBlocked: 'All entries, to change or take back',
  allBlockedHelp: 'That you have read them is kept in the register.',
  allBlockedShow: 'Show them',
  noEntries: 'There are none.',
  span: (what: string, first: string, last: string) => `${what}: ${first} to ${last}`,
  takeBack: 'Take it back',
  changeEnd: 'Change the last day',

  // wishes
  wishes: 'Kept together, kept apart',
  wishesHelp: 'For teachers alone, to the end of a term at most, and never why.',
  kindOfWish: 'They are kept',
  kindsOfWish: { together: 'together', apart: 'apart' },
  wishWith: (kind: 'together' | 'apart', name: string) =>
    kind === 'together' ? `together with ${name}` : `apart from ${name}`,
  otherChild: 'The other child',
  gone: 'a child who has left',
  wishFromHint: 'A day in a term.',
  wishUntilHint: 'Empty: to the end of the term.',
  noWishes: 'None.',
}
