const times = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`

export const rows = {
  title: 'On this phone',
  none: 'Nothing waits on this phone. All that was entered is sent.',
  sendNow: 'Send now',
  signIn: 'Sign in to send',
  standing: {
    idle: '',
    sending: 'Sending …',
    waiting: 'No answer yet. It is tried again by itself.',
    signed_out: 'Not sent: sign in again. What you enter stays on this phone.',
    other_member: 'Not sent: somebody else is signed in on this phone.',
    update: 'Not sent: this version is too old. What waits here stays; get the newer one.',
  },
  newer: 'Look for the newer version',
  accessEnded:
    'Your access has ended. What you have left here is sent, or held for a head teacher.',

  refused: (n: number) => `Not taken (${n})`,
  waiting: (n: number) => `To be sent (${n})`,
  held: (n: number) => `With a head teacher (${n})`,
  heldHelp: 'They count once a head teacher has admitted them.',
  stored: (n: number) => `Sent (${n})`,
  aside: (n: number) => `Put aside (${n})`,

  kept: 'This phone promises to keep what is entered until it is sent.',
  notKept:
    'This phone does not promise to keep what waits here. Add Counterpoise to the home screen ' +
    'before you log with no signal.',
  twoDays:
    'Entries have waited here for more than two days, and this browser may clear them. Find a ' +
    'signal and send them, or save the tries as a file.',

  child: 'a child who is not on this phone',
  skill: 'a skill that is not on this phone',
  attempt: (skill: string, who: string) => `${skill}, ${who}`,
  takenBack: 'taken back',
  measured: (outcome: string, measure: number) => `${outcome} (${measure})`,
  trial: (who: string) => `${who}, on trial`,
  attendance: (who: string, state: string) => `${who}: ${state}`,
  fall: (skill: string, who: string) => `${skill}, ${who}`,
  groups: (skill: string) => `Groups for ${skill}`,
  lesson: 'About the evening',
  said: {
    spotters: 'free to spot',
    mats: 'mats',
    minutes: 'minutes',
    surface: 'floor',
    note: 'line for next week',
    state: 'whether it takes place',
  },

  why: {
    invalid: 'Something in it is not as it should be.',
    unknown_student: 'The school knows no such child, or not in your classes.',
    unknown_skill_id: 'The curriculum in use has no such skill.',
    unknown_class: 'This class is not among yours.',
    unknown: 'The lesson, or something named here, is not among yours.',
    id_reused: 'Something else is written down under this entry’s number. The first one stays.',
    too_late: 'Your access to this studio ended too long ago. A head teacher can enter it.',
    erased: 'What the school knew of this child was deleted, and this goes with it.',
    newer: 'Somebody has changed these groups since. Theirs stand until you choose.',
    stopped: 'Something stops these groups now.',
    not_allowed: 'A teacher has to do this.',
    too_large: 'It is too long to be sent.',
  } as Readonly<Record<string, string>>,
  otherwise: (code: string) => `It was not taken (${code}).`,

  flags: {
    late: 'entered after your access had ended',
    clock: 'this phone’s clock was wrong: it counts at the lesson’s start',
  } as Readonly<Record<string, string>>,

  again: 'Try again',
  allAgain: 'Try all again',
  putAside: 'Put aside',
  open: 'Open it',
  correct: 'Correct the name',
  givenName: 'Given name',
  initial: 'Initial of the other name',
  send: 'Send it so',

  rescue: 'Save the tries as a file',
  rescueHelp:
    'Where you cannot sign in any more, a head teacher can load the file; the tries are then ' +
    'held for her to look at. They stay on this phone too.',
  rescueOthers: (n: number) =>
    `${times(n, 'other entry is', 'other entries are')} not in the file: who is here, falls, ` +
    'groups and children on trial can only be sent from this phone.',
  load: 'Load tries from somebody’s phone',
  loadHelp:
    'A file that was saved on a phone that cannot send. Every try is held for you to admit.',
  loaded: (n: number) => `${times(n, 'try is', 'tries are')} held now.`,
  toHeld: 'Look at held tries',
  loadedBefore: (n: number) => `${times(n, 'try was', 'tries were')} there already.`,
  notLoaded: (n: number) => `${times(n, 'try was', 'tries were')} not taken.`,
  badFile: 'This is no file of tries from a phone.',
  loadNoSignal: 'No answer. Nothing was loaded; load it again with a signal.',
  loadRefused: 'It was not taken. Only a head teacher may load it, and only for her own school.',
}
