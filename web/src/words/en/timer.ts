export const timer = {
  title: (who: string) => `Hold: ${who}`,
  figure: (figure: number) => `${figure} s is clean`,
  go: 'Go',
  down: 'Down',
  seconds: (seconds: number) => seconds.toFixed(1),
  unit: 's',
}
