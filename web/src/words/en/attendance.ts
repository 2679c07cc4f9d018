export const attendance = {
  title: 'Who is here',
  count: (here: number, away: number) =>
    `${here || 'Nobody'} here${away === 0 ? '' : `, ${away} away`}`,
  allHere: 'All here',
  allHereSaid: 'All here: on this phone',
  entered: (entered: number, open: number) => {
    if (open === 0) return 'Written. Tap “away” for who is missing, and again when she comes.'
    if (entered === 0) return 'Nothing is entered yet; everybody is taken to be here.'
    return `${open} ${open === 1 ? 'is' : 'are'} not entered yet, and taken to be here.`
  },
  state: { here: 'here', away: 'away', not_today: 'not today' },
  trial: 'on trial',
  visitor: 'visitor',
  change: (name: string) => `Who is here: ${name}`,
  add: 'Somebody new or from another class',
  trialTitle: 'On trial tonight',
  givenName: 'Given name',
  givenNameHint: 'The given name alone. She can be entered with no signal.',
  needName: 'A given name is needed.',
  longName: 'At most 60 letters.',
  addTrial: 'Add her',
  added: (name: string) => `${name} is here`,
  visitorTitle: 'From another class',
  search: 'Search',
  nobody: 'Nobody of that name.',
  tonight: 'Adults, mats and minutes',
  line: (adults: string, mats: number, minutes: number) =>
    `${adults}, ${mats} ${mats === 1 ? 'mat' : 'mats'}, ${minutes} minutes`,
  adults: (names: string[]) => (names.length ? `Free to spot: ${names.join(', ')}` : 'Nobody free to spot'),
  freeToSpot: 'Free to spot',
  spotHint: 'Whoever holds this phone is in charge and does not spot.',
  mats: 'Mats',
  minutes: 'Minutes',
  fewer: (what: string) => `One less: ${what}`,
  more: (what: string) => `One more: ${what}`,
  room: (room: number, needed: number) =>
    `${room} ${room === 1 ? 'adult' : 'adults'} in the room, ${needed} by the school’s policy.`,
  tonightOnly: 'What is proposed with these adults is read anew once there is a signal.',
}
