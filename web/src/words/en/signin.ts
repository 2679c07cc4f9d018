const tries = (n: number) => (n === 1 ? '1 try' : `${n} tries`)
const entries = (n: number) => (n === 1 ? '1 entry' : `${n} entries`)
const minutes = (n: number) => (n === 1 ? 'in a minute' : `in ${n} minutes`)

export const signin = {
  title: 'Sign in',
  email: 'Email',
  password: 'Password',
  show: 'Show the password',
  stay: 'Stay signed in on this phone',
  stayHint:
    'For four weeks after you last used it. Leave it off on a phone or computer that others use: ' +
    'then you are signed out after twelve hours.',
  signIn: 'Sign in',
  busy: 'Asking …',
  help: 'No password yet? Your head teacher hands you an invitation.',

  wrong: 'This email and password do not go together.',
  missing: 'Both are needed.',
  noSignal: 'No answer: there is no signal here, or the service is away. Nothing is lost.',
  tooOften: (n: number | null) =>
    `Tried too often. Try again ${n === null ? 'in a few minutes' : minutes(n)}.`,
  notDone:
    'This phone could not do it: it may have no room left. Make some, and try again. What was ' +
    'entered before is still here.',
  nowhere: 'You are signed in, and no school knows you today. Ask your head teacher.',
  broken:
    'This browser keeps nothing on this phone, so no try could be written down. Open the address ' +
    'in another window, not a private one.',

  tooSoon: 'Before your first day',
  begins: (school: string, day: string) =>
    `Welcome: ${school} expects you from ${day}. On that day your lessons are here; until then ` +
    'there is nothing to do.',
  choose: 'In which school?',
  another: 'Sign in with another email',
  as: (name: string, school: string) => `${name}, ${school}`,
  until: (day: string) => `until ${day}`,
  ended: 'access has ended; what was left here can be sent',
  signedInAs: (email: string) => `Signed in as ${email}.`,

  left: 'On this phone for others',
  leftFor: (n: number, only: boolean, name: string) =>
    `${only ? tries(n) : entries(n)} of ${name} ${n === 1 ? 'waits' : 'wait'} here for ${name} ` +
    'to sign in.',
  rescue: (name: string) => `Where ${name} cannot: save the tries as a file for a head teacher`,

  againTitle: 'Sign in again to send',
  againHelp: (name: string) =>
    `What ${name} enters is kept on this phone all the while. The page beneath stays as it is.`,
  other: (email: string, name: string) =>
    `Signed in here now: ${email}. What waits was entered by ${name}, and is sent once ${name} ` +
    'has signed in.',
  goOnAs: (name: string) => `Go on as ${name}`,
  notHer: (name: string) => `Sign in as ${name}`,

  signOut: 'Sign out',
  sending: 'Sending what is left …',
  notSignedOut:
    'NOT signed out. This phone could not write it down: it may have no room left. Try again.',
  leaveTitle: 'Not all is sent',
  leaveTries: (n: number, only: boolean) =>
    `${only ? tries(n) : entries(n)} ${n === 1 ? 'is' : 'are'} still on this phone.`,
  leaveHelp: 'What stays here is sent once you sign in on this phone again.',
  stayHere: 'Stay signed in',
  leave: 'Sign out, keep them here',

  invitation: 'Your invitation',
  invitationHelp:
    'Choose with which email and password you sign in. Somebody who signs in here for another ' +
    'school already types the password she has.',
  newPassword: 'Password, twelve characters or more',
  newPasswordHint: 'A few words in a row are easy to type and hard to guess.',
  accept: 'Use the invitation',
  noSecret: 'This address is cut short. Open the invitation once more, the whole of it.',
  noInvitation:
    'This invitation does not hold: it was used, has run out, or the email is somebody else’s. ' +
    'Ask your head teacher for another one.',
  weak: 'This password is too short, or one of the usual ones.',
  noEmail: 'This is no email.',
}
