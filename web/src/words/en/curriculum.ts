const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' })

/** Without a day it was the studio's first. */
const since = (day: string | null) => (day === null ? 'from the start' : `since ${day}`)

export const curriculum = {
  title: 'Curriculum',
  about: 'Editions and where they are in use; drafts of the next one.',

  // editions
  editions: 'Editions',
  noEdition: 'No edition is published yet.',
  editionOf: (number: number, name: string) => `${number}: ${name}`,
  published: 'Published',
  inUse: 'In use',
  everywhere: since,
  at: (studio: string, day: string | null) => `${studio} ${since(day)}`,
  nowhere: 'at none of your studios',
  heldBack: 'Held back',
  heldAt: (studio: string, day: string, reason: string) =>
    `${studio}, since ${day}: ${reason}`,
  withdrawn: 'Withdrawn',
  withdrawnFor: (day: string, reason: string) => `on ${day}: ${reason}`,
  note: 'Note',
  map: 'Map',
  ofEdition: (number: number) => ` of edition ${number}`,
  changedIn: (number: number) => `What edition ${number} changed`,
  beginDraft: (number: number) => `Begin a draft from edition ${number}`,
  begun: 'Begun',
  withdraw: 'Withdraw it',
  withdrawHelp:
    'Only while no studio has taken it on. It keeps its number and can be read, and is taken on ' +
    'no more.',
  reason: 'Reason',

  // studios
  studios: 'Studios',
  oneStudio: 'The studio',
  takenOn: (number: number, name: string, day: string | null) =>
    `From ${day ?? 'the start'}: edition ${number}, ${name}`,
  noneTaken: 'No edition is taken on here yet.',
  takeOn: 'Take on an edition',
  takeOnHelp: 'Lessons from that day on have it; what was logged before stays as it was.',
  edition: 'Edition',
  fromDay: 'From',
  fromDayHint: 'Empty: at once.',
  takeOnDo: 'Take it on',
  takenOnDone: 'Taken on',
  holdBack: 'Hold an edition back',
  holdBackHelp: 'The studio stays with what it has. Taking the edition on ends it.',
  holdBackDo: 'Hold it back',
  heldBackDone: 'Held back',
  held: (number: number, name: string, day: string) =>
    `Edition ${number}, ${name}, is held back since ${day}`,
  heldBy: (text: string, by: string | null, reason: string) =>
    by ? `${text} by ${by}: ${reason}` : `${text}: ${reason}`,
  holdNoMore: 'Hold it back no more',
  takeBack: 'Take it back',
  takeBackOf: (day: string) => `: from ${day}`,
  takeBackHelp:
    'As long as no try names it there: then all is as if it had never been taken on.',

  // drafts
  drafts: 'Drafts',
  noDraft: 'No draft: begin one from an edition, or from a file.',
  nothingYet: 'No draft yet: begin one with its first card, or from a file.',
  firstCard: 'Begin a draft with its first card',
  firstCardHelp: 'One child does it alone and needs nothing before. All of it can be changed then.',
  firstCardDo: 'Begin it',
  draftName: 'Name of the curriculum',
  draftNameHint: 'Such as “curriculum, spring 2027”.',
  firstFamily: 'First family of skills',
  firstFamilyHint: 'What belongs together, such as “Holding tight”.',
  firstSkill: 'First skill',
  fromFile: 'Begin a draft from a file',
  file: 'File',
  fileHint: 'YAML, of the format curriculum/1.',
  fileDo: 'Read it',
  noFile: 'Choose a file first.',
  discard: 'Discard this draft',
  discardWord: (name: string) => `To be sure, write its name here: ${name}`,
  discardDo: 'Discard it',
  notTheName: 'This is not its name.',

  // one draft
  draft: 'Draft',
  draftMap: 'The draft as a map',
  publishing: 'What it changes, and publishing',
  cards: (count: number) => (count === 1 ? 'One card' : `${count} cards`),
  withoutFamily: 'Of no family',
  family: (name: string | null, count: number) => `${name ?? 'Of no family'} · ${count}`,
  noCards: 'No card.',
  addCard: 'A further card',
  faults: 'Faults',
  faultsHelp: 'They forbid to publish it.',
  noFaults: 'No fault was found.',
  warningsOf: (count: number) => `To look at again: ${count}`,
  unsaved: 'Written here, but not saved and so not in the draft:',
  ofWhole: 'The whole',
  says: (place: string, detail: string, of = '') => [of, place, detail].filter(Boolean).join(': '),
  more: (count: number) => `… and ${count} more.`,
  outline: 'Name, note, families, order, what carries on what',

  // publishing
  publishTitle: 'Publish a draft',
  differsFrom: (number: number) => `What changes since edition ${number}`,
  differsFromNothing: 'No edition is published yet: all of it is new.',
  compare: 'Compare with',
  nothingDiffers: 'Nothing changes.',
  whats: {
    new: 'new',
    changed: 'changed',
    renamed: 'renamed',
    carries_on: 'carries others on',
    gone: 'gone',
  },
  named: (name: string, what: string) => `${name}: ${what}`,
  was: (keys: readonly string[]) => `Carries on: ${LIST.format(keys)}.`,
  before: 'Before',
  after: 'After',
  beside: 'Beside the cards',
  impact: {
    title: 'What it would change for the children',
    of: (studio: string) => `What it would change at ${studio}`,
    children: 'Readiness',
    yeses: 'Yeses that run out',
    lessons: 'Lessons to come',
    lesson: (name: string, day: string) => `${name}, ${day}`,
    whats: { gains: 'Gains readiness', loses: 'Loses readiness' },
    role: (what: string, skill: string, role: string) => `${what}: ${skill}, ${role}`,
    now: (text: string) => `Now: ${text}`,
    then: (text: string) => `Then: ${text}`,
    newThere: (skill: string, role: string) => `New there: ${skill}, ${role}.`,
    taughtNoMore: (skill: string, role: string) => `Taught no more: ${skill}, ${role}.`,
    ready: (what: string, names: readonly string[]) =>
      `${what} Ready for it: ${LIST.format(names)}.`,
  },
  publish: 'Publish it',
  publishHelp:
    'An edition never changes. No studio has it before somebody takes it on there; what was ' +
    'logged stays, and nothing is worked out anew.',
  publishWord: (name: string) => `To be sure, write the name of the draft here: ${name}`,
  calledAlike: (number: number) =>
    `Edition ${number} is called the same: a name of its own would tell them apart.`,
  mendFirst: 'There are faults to mend first.',
  publishedAs: (number: number) => `It is published as edition ${number}.`,
  toCurriculum: 'To the editions',
}
