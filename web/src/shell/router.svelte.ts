/** Which page is shown: the address of the window, followed without loading anew. */
import { placeOf, type Place } from './routes'

class Router {
  place = $state.raw<Place | null>(placeOf(location.pathname))

  constructor() {
    addEventListener('popstate', () => this.#read())
    document.addEventListener('click', (event) => this.#click(event))
  }

  go(path: string, { replace = false } = {}): void {
    if (replace) history.replaceState(null, '', path)
    else history.pushState(null, '', path)
    this.#read()
    // Another page is there at once: what slides by is not to be tapped.
    scrollTo({ top: 0, behavior: 'instant' })
  }

  #read(): void {
    this.place = placeOf(location.pathname)
  }

  #click(event: MouseEvent): void {
    if (event.defaultPrevented || event.button !== 0) return
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
    const link = event.target instanceof Element ? event.target.closest('a') : null
    if (!link || link.target || link.hasAttribute('download')) return
    if (link.origin !== location.origin || !placeOf(link.pathname)) return
    event.preventDefault()
    this.go(link.pathname + link.hash)
  }
}

export const router = new Router()
