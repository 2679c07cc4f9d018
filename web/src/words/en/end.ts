const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' })
const names = (of: readonly string[]) => LIST.format(of)
const rows = (count: number) => `${count} ${count === 1 ? 'entry' : 'entries'}`

export const end = {
  title: 'Before you go',
  who: 'Who was here',
  nobodyEntered: 'Who is here has not been entered: everybody counts as here.',
  someEntered: (of: readonly string[]) => `Nothing was entered for ${names(of)}.`,
  toWho: 'To who is here',
  up: 'Not up tonight',
  upHelp: 'As flyer or as one of two partners.',
  everybodyUp: 'Everybody was up tonight.',
  nobodyUp: 'Nobody was up tonight: no tries as flyer or as partner.',
  none: 'Here, and nothing written down',
  everybodyHas: 'Everybody who is here has at least one try.',
  nobodyHas: 'No tries are written down tonight.',
  unsent: 'On this phone',
  allSent: 'Everything is sent.',
  waiting: (count: number) =>
    count === 1
      ? '1 entry waits on this phone, and goes by itself with a signal.'
      : `${count} entries wait on this phone, and go by themselves with a signal.`,
  held: (count: number) => `${rows(count)} ${count === 1 ? 'is' : 'are'} held for a head teacher.`,
  refused: (count: number) => `${rows(count)} ${count === 1 ? 'was' : 'were'} refused: look at them.`,
  toRows: 'What is on this phone',
  fall: 'Did anyone fall?',
  noFall: 'Nobody, as far as is written on this phone.',
  fell: (name: string, skill: string, kind: string, phase: string) =>
    `${name}: ${skill}, ${kind}, ${phase}`,
  somebody: 'A child',
  note: 'One line for next week',
  noteHint: (most: number) =>
    `About the lesson: skills, mats, music. No health, no quarrels. At most ${most} characters.`,
  keep: 'Keep the line',
  kept: 'The line is on this phone',
  noNote: 'No line is written.',
  teacherWrites: 'A teacher writes the line for next week.',
  done: 'Done',
}
