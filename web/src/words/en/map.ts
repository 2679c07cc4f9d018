import { shell } from './shell'

const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' })
const TIERS = { floor: 'on the floor', low: 'low', mid: 'mid-height' }
const HELP = { hands_on: 'with hands on', hands_near: 'with hands near', no_spot: 'with no spot' }

const MARKS = { added: 'newly', changed: 'in another way', gone: 'no longer' }

type Role = keyof typeof shell.role
const roles = (all: readonly Role[]) => LIST.format(all.map((role) => shell.role[role]))

export const map = {
  title: 'Map',
  about: 'What each skill needs and what it opens, as a picture and as a list.',
  ofEdition: (number: number) => `Map of edition ${number}`,
  ofDraft: 'Map of a draft',
  of: (name: string) => `${name}: map`,
  noEdition: 'No edition is published yet, so there is no map.',
  empty: 'There is no card yet, so there is nothing to draw.',
  editionUsed: (number: number, name: string) => `On the map of edition ${number}, ${name}.`,
  edition: 'Edition',
  editionName: (number: number, name: string, used: boolean) =>
    `${number}: ${name}${used ? ', in use' : ''}`,
  against: (number: number) => `Compared with edition ${number}.`,
  againstNothing: 'No edition is published yet: all of it is new.',
  compare: 'Compare with',
  klass: 'As taught in',
  link: 'The map, with her on it',
  linkOfClass: 'The map, with this class on it',

  // how it is looked at
  as: 'Shown as',
  views: { map: 'Picture', list: 'List' },
  family: 'Family',
  allFamilies: 'All families',
  closer: 'Closer',
  farther: 'Farther',
  whole: 'All of it',
  print: 'Print',
  picture: 'What needs what, from the bottom up',
  keys:
    'Arrow keys: down to what a card needs, up to what it opens, left and right beside it. ' +
    'Enter shows its words.',
  noWords: 'The cards are too small for words: go closer, or press one to read it.',
  closeCard: 'Close',
  write: 'Write this card',
  writeHere: 'Write it here',

  // a card
  noCard: 'needed, and has no card',
  kind: (tier: keyof typeof TIERS, lifted: boolean) =>
    lifted ? `lifted, ${TIERS[tier]}` : TIERS[tier],
  rolesOf: (all: readonly Role[]) => `Roles: ${roles(all)}`,
  roles,
  changed: {
    added: 'new',
    changed: 'changed',
    gone: 'not in the draft any more',
    same: 'as it was',
  },
  needs: 'Needs',
  opens: 'Opens',
  needsNothing: 'Needs no other skill.',
  opensNothing: 'No other skill needs it.',
  needsAll: (says: readonly string[]) => `Needs ${says.join('; ')}.`,
  opensAll: (names: readonly string[]) => `Opens ${LIST.format(names)}.`,
  /** `as` the roles of the card that needs it, `role` that of the one needed; null: the only one. */
  need: (
    as: readonly Role[],
    name: string,
    role: Role | null,
    help: keyof typeof HELP | null,
  ) =>
    [
      as.length ? `as ${roles(as)}: ` : '',
      name,
      role ? ` as ${shell.role[role]}` : '',
      help ? `, ${HELP[help]}` : '',
    ].join(''),
  /** What a draft changes in a need. */
  marked: (text: string, changed: keyof typeof MARKS | 'same' | null) =>
    changed === null || changed === 'same' ? text : `${text} (${MARKS[changed]})`,
  joined: (as: readonly Role[], kind: 'one_of' | 'all_of') =>
    `${as.length ? `as ${roles(as)}: ` : ''}${kind === 'one_of' ? 'one of' : 'all of'}`,
  choice: (head: string, kind: 'one_of' | 'all_of', parts: readonly string[]) =>
    `${head} (${parts.join(kind === 'one_of' ? ', or ' : ', and ')})`,
  join: { one_of: 'one of', all_of: 'all of' },
  circle: 'This leads back to itself: a fault to mend before publishing.',
  sentence: (parts: readonly string[]) =>
    parts
      .filter(Boolean)
      .map((part) => part.charAt(0).toUpperCase() + part.slice(1))
      .map((part) => (/[.!?]$/.test(part) ? part : `${part}.`))
      .join(' '),
  layer: (number: number) => (number === 0 ? 'At the bottom' : `Layer ${number + 1}`),
  noneOfFamily: 'No card of this family.',

  // a class or a child laid over it
  stands: {
    goes_on: 'goes on',
    by_herself: 'no spot',
    may_begin: 'may begin',
    missing: 'missing',
    not_for_now: 'not for now',
  },
  standsLong: {
    goes_on: '“goes on”: with the help that her sheet tells',
    by_herself: '“no spot”: goes on, and needs none',
    may_begin: '“may begin”',
    missing: '“missing”: something that it needs',
    not_for_now: '“not for now”',
  },
  begun: { nobody: 'nobody', some: 'some', most: 'most', everybody: 'everybody' },
  begunLong: {
    nobody: '“nobody” has begun yet',
    some: '“some” have begun, with whatever help',
    most: '“most” have begun',
    everybody: '“everybody” has begun',
  },
  mayBegin: (count: number) => (count ? `${count} may begin` : ''),
  asRole: (role: Role, says: string) => `${shell.role[role]}: ${says}`,
  children: (count: number) =>
    `${count} ${count === 1 ? 'child has' : 'children have'} a place today; nobody is named here.`,

  // the legend
  legend: 'What the lines and patterns say',
  lines: {
    all_of: 'a solid line: what is below is needed',
    any_of: 'dashed lines that join in “one of”: one of them is enough',
    circle: 'a thick line: it leads back to itself',
    down: 'an arrow: the card that needs it is not above it',
    added: 'a double line: newly needed',
    changed: 'a line of dashes and dots: needed in another way',
    gone: 'a dotted line: needed no longer',
  },
  borders: {
    added: 'thick border: new',
    changed: 'dashed border: changed',
    gone: 'dotted border: not in the draft any more',
    unknown: 'dotted border, without a name: needed, and has no card',
  },
  split: 'Where a card has several roles its strip is divided, in the order of their words.',
}
