const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' })

const LOADS = {
  wrists: 'on the wrists',
  back_bend: 'a back bend',
  neck: 'on the neck',
  knees: 'on the knees',
  landing: 'a landing',
}
const TIERS = { floor: 'on the floor', low: 'low', mid: 'mid-height' }

export const card = {
  // all of them
  title: 'Cards',
  search: 'Search all skills',
  found: (count: number) => `${count} ${count === 1 ? 'skill' : 'skills'}`,
  none: 'No skill of that name.',
  tonight: 'For tonight',
  nothingForTonight: 'Nothing carries on from last time, and no groups are made yet.',
  families: 'All skills',
  edition: (name: string) => `From the ${name}`,
  noSkill: 'This skill is not in the curriculum in use tonight.',

  // one of them
  kind: (family: string, tier: keyof typeof TIERS, lifted: boolean) =>
    [family, lifted ? `lifted, ${TIERS[tier]}` : TIERS[tier]].join(' · '),
  toMat: 'To the mat',
  toGroups: 'Groups',
  watch: 'Watch:',
  stopWord: 'To come down at once:',
  picture: (skill: string) => `${skill}, seen from the side`,
  agreed: 'Agreed before',
  count: 'Who counts',
  first: 'First',
  steps: 'Steps',
  wayOut: 'Way out',
  holding: 'Holding on',
  contacts: 'Contacts',
  grip: 'Grip',
  how: 'Step by step',
  cues: 'Cues',
  spotting: 'Spotting',
  stands: 'The adult stands',
  wayUp: 'Hands, way up',
  hold: 'Hands, in the hold',
  wayDown: 'Hands, way down',
  noSpot: 'Nobody spots this.',
  childHelper: 'A child with a teacher’s yes may stand beside the adult, never instead.',
  down: 'Coming down',
  taughtWay: 'The taught way',
  slips: 'If somebody slips',
  faults: 'What to see, what to say',
  see: 'See',
  say: 'Say',
  clean: 'Clean when',
  measured: (figure: number, unit: string) =>
    `By ${unit === 's' ? 'the clock' : 'counting'}: clean from ${figure} ${unit}, shaky from ${figure / 2} ${unit}.`,
  ways: { ways_in: 'Ways in', shapes: 'Shapes', ways_out: 'Ways out' },
  needs: (roles: readonly string[], says: string) => `Asked of ${LIST.format(roles)}: ${says}.`,
  needsAlone: (says: string) => `Asked: ${says}.`,
  waySpot: (says: string) => `Spot: ${says}`,
  missing: (names: readonly string[]) => `Tonight something is missing for ${LIST.format(names)}.`,
  missingForAll: 'Tonight something is missing for everybody.',
  missingForNone: 'Tonight nobody misses anything for it.',
  roles: 'Roles',
  many: (min: number, max: number, role: string) =>
    `${min === max ? min : `${min} to ${max}`} as ${role}`,
  asks: (loads: readonly (keyof typeof LOADS)[]) => LIST.format(loads.map((one) => LOADS[one])),
  resting: 'Where one of these rests for a child, the role rests with it.',
  lineSize: (size: number) => `While it is being learned: at most ${size} in one group.`,
  atHome: 'At home',
}
