export const today = {
  title: 'Today',
  none: 'No lesson of yours today.',
  coming: 'Coming lessons',
  noneComing: 'None within two weeks.',
  earlier: 'The last seven days',
  cancelled: 'does not meet',
  at: (time: string, minutes: number) => `${time}, ${minutes} minutes`,
  kept: (when: string) => `No signal: as read ${when}`,
  never: 'Today’s lessons were never read on this phone. Open this page once with a signal.',
  settings: 'This phone',
  desk: 'At the desk',
  until: (day: string) => `Your access holds until ${day}.`,
}
