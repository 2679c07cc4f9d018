/**
 * Where what was pressed in it takes it away, the focus goes on at what it stood in: the title of
 * the fold, else the heading of the section or dialog, else that of the page.
 */
export function stays(one: HTMLElement): () => void {
  const around: Element[] = []
  for (let at = one.parentElement; at; at = at.parentElement) {
    if (at.matches('details, section, dialog, main')) around.push(at)
  }
  let pressed = false
  one.addEventListener('click', () => (pressed = true))
  return () => {
    if (!pressed || document.activeElement !== document.body) return
    const left = around.find((part) => part.isConnected)
    const title = left?.querySelector<HTMLElement>('summary, h1, h2, h3')
    if (!title) return
    if (!title.matches('summary')) title.tabIndex = -1
    title.focus()
  }
}
