const tries = (many: number) => (many === 1 ? '1 try' : `${many} tries`)

export const held = {
  title: 'Held tries',
  about: 'Tries of somebody whose access had ended, and of a phone that cannot send: yours to admit.',
  help:
    'They count once they are admitted, as of the day on which they were logged. What is thrown ' +
    'away is gone; that it was is kept in the register.',
  none: 'No try waits for you.',
  by: (name: string) => `Logged by ${name}`,
  list: (name: string) => `Tries logged by ${name}`,
  child: 'Child',
  skill: 'Skill',
  day: 'When',
  what: 'What',
  reason: 'Why it waits',
  reasons: {
    after_end: 'logged after her access had ended',
    too_late: 'came more than two weeks after her access had ended',
    rescued: 'loaded from her phone',
  },
  decide: 'Decide',
  of: (child: string, skill: string) => `: ${child}, ${skill}`,
  nobody: 'a child who is not there any more',
  noSkill: 'a skill that no edition has',
  unreadable: 'cannot be read',
  admit: 'Admit it',
  discard: 'Throw it away',
  admitAll: (many: number) => (many === 1 ? 'Admit it' : `Admit all ${many}`),
  admitted: (many: number) => `${tries(many)} admitted`,
  discarded: 'Thrown away',
  not: (child: string, skill: string, why: string) => `${child}, ${skill}: not admitted. ${why}`,
}
