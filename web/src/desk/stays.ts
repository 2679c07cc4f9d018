import { onward } from '../parts/onward'

/** Where what was pressed in it takes it away, the focus goes on at what it stood in. */
export function stays(one: HTMLElement): () => void {
  const goOn = onward(one)
  let pressed = false
  one.addEventListener('click', () => (pressed = true))
  return () => {
    if (pressed) goOn()
  }
}
