export const shell = {
  name: 'Counterpoise',
  close: 'Close',
  cancel: 'Cancel',
  back: 'Back',
  again: 'Try again',
  undo: 'Undo',
  undone: 'Taken back',
  notSaved: 'NOT saved. This phone could not write it: enter it again, or write it on paper.',
  notReadAgain:
    'What is on this phone could not be read just now, so this page may be behind. Nothing that ' +
    'was saved is lost: open the lesson once more.',
  noPage: 'There is no such page',
  noPageHelp: 'The address may be an old one.',
  toToday: 'Today',
  notRead: 'The lesson could not be read',
  asked: { not: '', now: 'Reading …', in_vain: 'Not this time either.' },
  nothingKept:
    'This lesson is not on this phone yet, and it did not come. Try again with a signal: from ' +
    'then on it is here without one.',
  notYours: 'No lesson of yours has this address.',
  loading: 'Reading …',
  missing: 'This page is not on this phone. Try again with a signal.',
  keptAt: (when: string) => `No signal: as read ${when}`,
  skip: 'To the page',
  places: 'This lesson',
  here: 'Who is here',
  mat: 'Mat',
  groups: 'Groups',
  cards: 'Cards',
  end: 'Before you go',
  fell: 'Someone fell',
  stop: 'Stop:',
  ask: 'Ask:',
  caution:
    'Partner work can injure. A trained adult is in charge and may always say no. Your governing ' +
    'body’s, insurer’s and local rules come first. These are hints from what was logged; they ' +
    'are not a clearance.',
  spot: { hands_on: 'hands on', hands_near: 'hands near', none: 'no spot' },
  outcome: { not_there: 'not there', shaky: 'shaky', clean: 'clean' },
  role: {
    solo: 'solo',
    partner: 'partner',
    base: 'base',
    flyer: 'flyer',
    spotter: 'spotter',
    front: 'front',
    middle: 'middle',
    back: 'back',
  },
  unit: { s: 's', times: 'times', steps: 'steps', counts: 'counts' },
}
