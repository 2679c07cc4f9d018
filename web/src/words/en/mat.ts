const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' })

export const mat = {
  title: 'Mat',
  names: (names: readonly string[]) => LIST.format(names),

  // which station
  search: 'Search all skills',
  found: (count: number) => `${count} ${count === 1 ? 'skill' : 'skills'}`,
  none: 'No skill of that name.',
  tonight: 'For tonight',
  nothingForTonight: 'Nothing carries on from last time, and no groups are made yet.',
  used: 'Stations so far',
  suggested: 'More that fits tonight',
  families: 'All skills',
  carriesOn: 'carries on from last time',
  triedTonight: (count: number) => `${count} ${count === 1 ? 'try' : 'tries'} tonight`,
  canBePlaced: (placed: number, all: number, known: boolean) =>
    known ? `${placed} of ${all} can be placed` : `at most ${placed} of ${all} can be placed`,
  card: 'Card',
  cardOf: (skill: string) => `Card: ${skill}`,
  hold: 'Whole-class hold',
  holdShort: 'Hold',
  holdOf: (skill: string) => `Whole-class hold: ${skill}`,
  summary: 'How it went',
  groups: 'Groups',
  noSkill: 'This skill is not on tonight’s sheet.',
  notHeld: 'This skill is not measured in seconds.',

  // the head of a station
  criterion: (criterion: string) => `Clean: ${criterion}`,
  caution: 'Caution and stop word',
  stopWord: 'To come down at once:',
  spot: 'Spot',
  asAdvised: 'by row',
  role: 'Role of who is in no group',
  wayIn: 'Way in',
  wayOut: 'Way out',
  ways: (ways: readonly string[]) => ways.join(' · '),
  waySpot: (spot: string) => `Who spots: ${spot}`,
  noGroups: 'No groups are made for this yet; each is logged by herself.',
  inNoGroup: 'In no group',
  inOrder: 'Next up first',
  nobody: 'Nobody is here yet.',
  away: (names: readonly string[]) => `Not here: ${LIST.format(names)}.`,

  // a row
  inRole: (name: string, role: string) => `${name} (${role})`,
  cameDown: 'came down',
  tries: (who: string) => `A try of ${who}`,
  without: (names: readonly string[]) => `without ${LIST.format(names)}, not here`,
  helps: (names: readonly string[]) => `${LIST.format(names)} spots beside the adult`,
  time: 'time',
  number: 'count',
  measureOf: (measure: string, who: string) => `${measure}: ${who}`,
  instead: (before: string) => `instead of ${before}`,

  // after a tap
  tried: (who: string, outcome: string, measure: string) =>
    measure ? `${who}: ${outcome}, ${measure}` : `${who}: ${outcome}`,
  corrected: (who: string, outcome: string, before: string) =>
    `${who}: ${outcome} instead of ${before}`,
  notAlike: (count: number) => `${count} children, not all alike`,
  nothingYet: 'One tap on an outcome is one try.',
  last: 'Last',
  change: 'Change',
  changeOf: (who: string) => `Change: ${who}`,
  measured: (measure: number, unit: string) =>
    unit === 's' ? `${measure.toFixed(1)} s` : `${measure} ${unit}`,

  // who rests from it
  barred: (count: number) => `Not for now (${count})`,
  barredHelp: 'If it has happened all the same, it can be logged here.',
  bar: (name: string, says: string) => `${name}: ${says}`,
  notToday: 'not today',
  closed: 'closed for her until a teacher has looked',
  onTrial: 'on trial: nothing lifted yet',

  // tonight's tries
  triesTitle: (count: number) => `Tonight’s tries here (${count})`,
  triesHelp: 'A tap on one opens it, to correct it or to take it away.',
  summarised: 'how it went',
  edit: (who: string, time: string) => `${who}, ${time}`,
  outcome: 'Outcome',
  notSaid: 'not written down',
  remove: 'Take it away',
  changed: 'Changed',

  // counting
  countTitle: (who: string, unit: string) => `${who}: how many ${unit}?`,

  // the whole class
  holdTitle: (skill: string) => `Hold: ${skill}`,
  holdHelp: 'Who is not in it? Tap her name. Then go.',
  holdFigure: (figure: number) => `${figure} s is clean.`,
  holdRunning: 'Tap each as she comes down.',
  go: 'Go',
  done: 'Done',
  isIn: 'in',
  isOut: 'not in it',
  isUp: 'up',
  held: (seconds: number) => `${seconds.toFixed(1)} s`,
  holdWritten: (count: number) => `${count} holds are on this phone`,
  holdReview: 'How long each has held. One tap changes the outcome.',
  undoAll: 'Take all back',
  holdAgain: 'Once more',
  toStation: 'To the station',

  // how it went
  summaryTitle: (skill: string) => `How it went: ${skill}`,
  summaryHelp:
    'Suggested from tonight’s tries. Nothing is written before you say so; a second tap on an ' +
    'outcome leaves her out. A change of what is written corrects it.',
  everybody: 'Everybody',
  notUp: (count: number) => `Not up at this station (${count})`,
  notInIt: 'rests from it tonight',
  write: (count: number) => `Write down ${count}`,
  written: (count: number) => `${count} written: how it went tonight`,
  saidBefore: 'written',
}
