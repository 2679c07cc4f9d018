/** Whoever hears a page rather than sees it is taken to its heading, as soon as that is there. */
let awaited = false

/** Another page is shown; its heading may still be on its way. */
export function arrive(within: HTMLElement): void {
  const heading = within.querySelector('h1')
  awaited = !heading
  heading?.focus({ preventScroll: true })
}

/** A page will stand in place of what was pressed on this one. */
export function expectHeading(): void {
  awaited = true
}

/** A heading has come; it takes nothing from somebody who has gone on meanwhile. */
export function heading(one: HTMLElement): void {
  if (awaited && document.activeElement === document.body) one.focus({ preventScroll: true })
  awaited = false
}
