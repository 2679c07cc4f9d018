export const fall = {
  title: 'Someone fell',
  which: 'In which skill?',
  search: 'Search all skills',
  inSkill: (skill: string) => `In: ${skill}`,
  otherSkill: 'Another skill',
  kind: 'What was it',
  kinds: { fall: 'a fall', near_miss: 'nearly' },
  phase: 'When',
  phases: { way_in: 'way in', hold: 'hold', way_out: 'way out', between: 'other' },
  who: 'Who? One tap writes it down.',
  role: 'As what, if otherwise than below',
  done: 'What was done (if you like)',
  doneHint: 'Plain words, nothing about health. Injuries go into the accident book.',
  closed: (name: string, skill: string) =>
    `${name}: written down. ${skill} is closed for her until a teacher has looked.`,
}
