/**
 * Where the focus goes on once what had it has gone: at the title of the fold it stood in, else at
 * the heading of the section or dialog, else at that of the page. To be asked for while it stands.
 */
export function onward(one: Element): () => void {
  const around: Element[] = []
  for (let at = one.parentElement; at; at = at.parentElement) {
    if (at.matches('details, section, dialog, main')) around.push(at)
  }
  return () => {
    if (document.activeElement !== document.body) return
    const left = around.find((part) => part.isConnected)
    const title = left?.querySelector<HTMLElement>('summary, h1, h2, h3')
    if (!title) return
    if (!title.matches('summary')) title.tabIndex = -1
    title.focus()
  }
}
