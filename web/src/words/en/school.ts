export const school = {
  title: 'School',
  about: 'Your limits, where you teach, terms and closures.',
  limits: 'Limits of your school',
  limitsHelp:
    'These are your school’s own limits and no published standard. Each change is kept in the ' +
    'register.',
  groups: {
    ready: 'When a child counts as ready',
    room: 'Adults and turns',
    pairs: 'Two children together',
    agreements: 'Agreements of guardians',
    masses: 'Masses',
  },
  between: (low: number, high: number) => `${low} to ${high}.`,
  policy: {
    bar: {
      text: 'Bar (a share)',
      does: 'She counts as ready where the next try is clean with at least this chance; 0.8 is four of five.',
    },
    back_after_weeks: {
      text: 'Back after (weeks)',
      does: 'Longer away means to begin with hands on again; a teacher’s yes runs out.',
    },
    adults_in_room: {
      text: 'Adults in the room',
      does: 'With fewer nothing is lifted.',
    },
    children_per_adult: {
      text: 'Children for each adult',
      does: 'With more children here, more adults must be in the room.',
    },
    turns_under_one_spot: {
      text: 'Groups taking turns',
      does: 'At most so many groups take turns under one adult or on one mat.',
    },
    pair_check_days: {
      text: '“These two: yes” holds (days)',
      does: 'After that a teacher looks at the two again.',
    },
    height_days: {
      text: 'A height counts (days)',
      does: 'An older one is asked for again before a lift.',
    },
    flyer_taller_by_at_most_cm: {
      text: 'Flyer taller by at most (cm)',
      does: 'How much taller than her base a flyer may be, where the card does not say.',
    },
    agreements_kept_elsewhere: {
      text: 'Agreements are kept on paper',
      does: 'Then lifting without an entry here is a line on the sheet and no stop.',
    },
    uses_mass: {
      text: 'The school records masses',
      does: 'Everything works without. Most schools leave it off.',
    },
    mass_from_age: {
      text: 'From age (years)',
      does: 'Below it there is no such field.',
    },
    max_load_ratio: {
      text: 'Most that a child carries (a share)',
      does: 'As a share of her own weight, where both are known.',
    },
  },
  cautions: {
    title: 'Before masses are switched on',
    lines: (age: string) => [
      'Nobody needs to be weighed to learn partner balances. Everything here works without a mass.',
      'Your governing body may forbid coaches to weigh anybody. Its rules and your insurer’s come first.',
      'Nobody is weighed in class. What is entered comes from a guardian’s form, with the guardian’s dated agreement; to withdraw it deletes the figure at once.',
      `Under ${age} years there is no field for it, whatever anybody agrees.`,
      'Only head teachers enter and see it, and each time it is looked at is kept in the register. Only the latest is kept; after 120 days it counts as unknown.',
      'It is never on a sheet, in a list or a chart, never sorted by, and nobody is reminded to weigh.',
      'Nobody comments on a body. What is told is “another base”, never why.',
    ],
    read: 'I have read this: switch it on',
  },
  studios: 'Studios',
  oneStudio: 'Where you teach',
  addStudio: 'A further studio',
  addPlace: 'Another place',
  name: 'Name',
  zone: 'Time zone',
  zoneHint: 'Such as Europe/Lisbon. With another zone coming lessons start at another moment.',
  units: 'Heights are typed and shown in',
  unitsOf: { metric: 'centimetres', imperial: 'inches' },
  mats: 'Mats',
  matsHint: '0 to 60.',
  terms: 'Terms',
  noTerms: 'With no terms there are lessons all year.',
  addTerm: 'A further term',
  closures: 'Days without lessons',
  noClosures: 'None.',
  addClosure: 'Further days without lessons',
  earlier: 'Earlier ones',
  first: 'First day',
  last: 'Last day',
  where: 'Where',
  everywhere: 'everywhere',
  days: (first: string, last: string) => (first === last ? first : `${first} to ${last}`),
  titled: (name: string, about: string) => `${name}: ${about}`,
  remove: 'Take it out again',
}
