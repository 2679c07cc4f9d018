export const settings = {
  title: 'This phone',
  side: 'Thumb bar',
  sides: { left: 'left', right: 'right' },
  light: 'Light',
  lights: { auto: 'as the phone', light: 'light', dark: 'dark' },
  ticks: 'Ticks while a hold is timed',
  ticksOf: { off: 'off', on: 'on' },
  ticksHint: 'The phone may be playing the music of the class: off unless you switch it on.',
  kept: 'This phone promises to keep what is entered until it is sent.',
  notKept:
    'This phone does not promise to keep what waits here. Add Counterpoise to the home screen ' +
    'before you log with no signal.',
  who: (name: string, school: string) => `${name}, ${school}`,
  until: (day: string) => `Your access holds until ${day}.`,
}
