const lower = (text: string) => text.charAt(0).toLowerCase() + text.slice(1)
const ended = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`)

export const child = {
  // the list
  title: 'Children',
  help: 'A name opens what is known of her.',
  nobody: 'Nobody is on tonight’s list.',
  trial: 'on trial',
  visitor: 'visiting',
  state: { here: 'here', away: 'away', not_today: 'not today' },

  // the teacher’s page
  noChild: 'She is not on tonight’s list.',
  showAtDoor: 'Show at the door',
  showHelp: 'One child alone on the screen, for her and whoever fetches her.',
  notForNow: (says: string) => `Not for now: ${says}`,
  tries: 'Tries tonight',
  noTries: 'No tries of hers tonight yet.',
  skill: (name: string, role: string | null) => (role ? `${name}, ${role}` : name),
  try: (parts: readonly string[]) => parts.join(', '),
  summary: 'how it went tonight',
  sent: {
    waiting: 'on this phone, not sent yet',
    stored: 'sent',
    held: 'held for a head teacher',
    refused: 'refused',
    elsewhere: 'on the server',
  },
  lines: 'Where she stands',
  noLines: 'New on this phone: the server has not told of her yet.',
  waysUp: 'Where she could be up',
  waysUpNeedSignal: 'No answer from the server: this needs a signal once.',
  notOnServer: 'The server does not know her in this lesson yet.',
  waysUpFailed: 'The server did not say. It is asked again when the page is opened.',
  fits: 'Could be up tonight, by what was logged',
  ask: 'A teacher says yes first',
  missing: 'Something is missing',
  stop: 'Not for now',
  with: (names: string) => `with ${names}`,
  names: (names: readonly string[]) => new Intl.ListFormat('en-GB').format(names),

  // at the door
  tonight: 'Tonight',
  next: 'Next',
  atHome: 'At home',
  wasHere: 'Was here and took part.',
  wasAway: 'Was not here tonight.',
  rested: 'Took it easy tonight.',
  done: (skill: string, tries: number, last: string, measure: string) => {
    const how = [last, measure].filter(Boolean).join(', ')
    return tries === 1 ? `${skill}: ${how}.` : `${skill}: ${tries} tries, the last one ${how}.`
  },
  outcome: { not_there: 'not there yet', shaky: 'shaky', clean: 'clean' },
  goesOn: (skill: string, criterion: string) =>
    ended(`On with ${lower(skill)}. Clean is: ${lower(criterion)}`),
  begins: (skill: string) => `Coming up: ${lower(skill)}.`,
  onTheWay: (skill: string, says: string) => ended(`For ${lower(skill)}: ${says}`),
  nothingNext: 'On with what she has begun.',
  practise: (skill: string, how: string) => ended(`${skill}. ${how}`),
  nothingAtHome: 'Nothing to practise this week.',
  noLifts: 'No lifts at home: nobody carries or holds anybody up.',
  leave: 'Back to the teacher',
  sure: 'This leaves the child’s page.',
  stay: 'Stay here',
  leaveNow: 'Yes, leave it',
}
