export const progress = {
  print: 'Print',
  edition: (name: string) => `As taught in: ${name}.`,

  // a child's path
  path: 'Path',
  pathLink: 'Her path over a term',
  pathOf: (name: string) => `${name}: path`,
  term: 'Term',
  klass: 'Class',
  where: (klass: string, days: string) => `${klass}, ${days}`,
  days: (first: string, last: string) => `${first} to ${last}`,
  nothing: 'Nothing was logged in these days.',
  notTaught: 'Not in the curriculum in use',
  skill: (name: string, role: string) => `${name}, as ${role}`,
  help: {
    no_spot: 'no spot',
    hands_near: 'hands near',
    hands_on: 'hands on',
    not_yet: 'not started',
  },
  tries: 'tries',
  pictures: 'Help needed, and tries',
  keyHelp:
    'The line tells the help that was most probably needed after each evening, from what was ' +
    'logged; the ring is where it stands. Below it is each try.',
  on: (day: string, says: string) => `${day}: ${says}`,
  begun: (day: string) => `first tried on ${day}`,
  since: (help: string, day: string) => `${help} from ${day}`,
  tried: (tries: number, evenings: number) =>
    `${tries === 1 ? 'One try' : `${tries} tries`} on ` +
    `${evenings === 1 ? 'one evening' : `${evenings} evenings`}`,
  pictured: (days: string, steps: readonly string[], tried: string) =>
    `${days}. ${steps.length ? `Help needed: ${steps.join(', ')}. ` : ''}${tried}.`,
  table: 'Evening by evening',
  tableOf: (skill: string) => `${skill}: evening by evening`,
  evening: 'Evening',
  needed: 'Help',
  triesOf: 'Tries',
  noSpot: 'With no spot',
  likely: (word: string, percent: number) => `${word}, about ${percent} %`,
  before: (day: string) => `before ${day}`,
  after: (day: string) => `as of ${day}`,
  weight: { together: 'as one of a group', summary: 'how the evening went' },
  loggedAs: (skill: string) => `logged as ${skill}`,
  times: (count: number, text: string) => `${count} × ${text}`,
  parts: (texts: readonly string[]) => texts.join(', '),
  list: (texts: readonly string[]) => texts.join('; '),

  // the letter
  letter: 'Letter for guardians',
  letterHelp: 'Opens a page for print. That it was opened is kept in the register.',

  // a class
  title: 'Progress',
  classLink: 'Progress of this class',
  ofClass: (name: string) => `${name}: progress`,
  turns: 'Turns over the last six lessons',
  turnsHelp:
    'Of each child the last six that she came to. Up is as flyer or as an equal partner. A name ' +
    'opens her path.',
  child: 'Child',
  had: 'Turns',
  notUp: 'Not up',
  alwaysBase: 'Always base',
  nobody: 'nobody',
  nobodyHere: 'Nobody has a place in this class today.',
  names: (names: readonly string[]) => new Intl.ListFormat('en-GB').format(names),
  holidays: 'What went in the holidays',
  noHolidays: 'There was no break of two weeks.',
  break: (says: string) => `The last break was ${says}.`,
  broke: (says: string) => `There has been no lesson with tries ${says}.`,
  nothingWent: 'Nothing went.',
  skills: 'By skill',
  order: 'Skills stand',
  orders: { teaching: 'in teaching order', name: 'by name' },
  family: 'Family',
  allFamilies: 'All families',
  as: (role: string) => `As ${role}`,
  onTrial: ', on trial',
  notTried: (names: string) => `Not tried: ${names}`,
  notTriedByAny: 'not tried yet by anybody',
  untried: 'Not tried yet by anybody of this class',
}
