const one = (many: number, text: string, several: string) =>
  many === 1 ? `1 ${text}` : `${many} ${several}`

export const files = {
  title: 'From a file',
  link: 'Load them from a file',
  about: 'Class lists, staff, times and what was seen before, from a table or a document.',
  help:
    'Each file is tried first: it says what would change, or everything that is wrong, and nothing ' +
    'is kept. It is loaded whole or not at all; the same file again changes nothing.',
  kinds: {
    timetable: {
      title: 'Studios, terms, closures, classes and limits',
      about:
        'A document of the format classes/1. What it does not name stays as it is; with another ' +
        'time coming lessons follow.',
    },
    staff: {
      title: 'Staff',
      about: 'A row for each of the staff. Whom it does not name stays as she is.',
    },
    roster: {
      title: 'Children of a class',
      about:
        'A row for each child: known by given name, initial and month of birth. An empty cell ' +
        'says nothing; children whom it does not name keep their places.',
    },
    seen_before: {
      title: 'What was seen before anything was logged',
      about:
        'Children down, skills across, in each cell one of: not yet, hands on, hands near, no spot.',
    },
    attempts: {
      title: 'Tries',
      about: 'A row for each try of a class, of any evening.',
    },
    attendance: { title: 'Who came', about: 'A row for each child and evening.' },
    agreements: {
      title: 'Agreements of guardians',
      about: 'What each guardian has agreed to, and on which day.',
    },
    restrictions: {
      title: 'Not for now',
      about: 'What is not for now, and until when. A column that says why is refused.',
    },
    yeses: { title: 'A teacher’s yes', about: 'For one child, skill and role.' },
    pair_checks: { title: '“These two: yes”', about: 'Which base may take which flyer.' },
    wishes: { title: 'Kept together, kept apart', about: 'Until the end of a term at most.' },
    falls: { title: 'Falls and near misses', about: 'With the day on which a teacher has looked.' },
  },
  columns: (names: readonly string[]) => `Columns, in any order: ${names.join(', ')}.`,
  file: 'File',
  fileHint: {
    table: 'CSV, or the first sheet of a workbook (.xlsx). Its first row names the columns.',
    document: 'YAML.',
  },
  noFile: 'Choose a file first.',
  klass: 'Class',
  whichClass: 'choose',
  noKlass: 'Choose the class first.',
  noClass: 'none: nothing in it is for one evening alone',
  on: 'The day on which this was so',
  onHint: 'Not too long before the first lesson.',
  rows: 'Rows that are as meant',
  rowsHint: 'Where it asks about a row and it is right: its number, such as 3, 7.',
  try: 'Try it: change nothing yet',
  tried: 'Tried: nothing is loaded yet. This is what would change.',
  asMeant: 'It is as meant: go on',
  load: 'Load it',
  loaded: 'Loaded',
  mapping: (line: string) => `Columns as they were understood: ${line}`,
  new: (many: number) => `${many} new`,
  changed: (many: number) => `${many} changed`,
  standing: (many: number) => one(many, 'stands already', 'stand already'),
  lessons: (many: number) =>
    one(many, 'coming lesson starts', 'coming lessons start') + ' at another moment',
  adopted: (many: number) =>
    one(many, 'studio begins', 'studios begin') + ' with the newest curriculum',
  absent: (many: number) => one(many, 'is', 'are') + ' not named and stay as they are',
  remarks: (many: number) => one(many, 'remark', 'remarks'),
  entry: (number: number) => `entry ${number}`,
  more: (many: number) => `… and ${many} more.`,
}
