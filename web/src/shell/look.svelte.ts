/** Small choices of one member on this phone: where the thumb is, how bright, whether it ticks. */
import { notices } from '../parts/notices.svelte'
import { words } from '../words/words'
import { phone } from './phone'

export const SIDES = ['left', 'right'] as const
export const LIGHTS = ['auto', 'light', 'dark'] as const
export const TICKS = ['off', 'on'] as const

interface Choices {
  side: (typeof SIDES)[number]
  light: (typeof LIGHTS)[number]
  ticks: (typeof TICKS)[number]
}

const USUAL: Choices = { side: 'right', light: 'auto', ticks: 'off' }

class Look {
  #choices = $state<Choices>({ ...USUAL })

  get side() {
    return this.#choices.side
  }

  get light() {
    return this.#choices.light
  }

  get ticks() {
    return this.#choices.ticks
  }

  /** Takes over what this phone's member has chosen; without one everything is as usual. */
  async read(): Promise<void> {
    const { store } = phone()
    for (const name of Object.keys(USUAL) as (keyof Choices)[]) {
      const chosen = await store.choice<Choices[typeof name]>(name)
      Object.assign(this.#choices, { [name]: chosen ?? USUAL[name] })
    }
    this.#show()
  }

  async choose<Name extends keyof Choices>(name: Name, value: Choices[Name]): Promise<void> {
    this.#choices[name] = value
    this.#show()
    try {
      await phone().store.choose(name, value)
    } catch {
      notices.fail(words.shell.notSaved)
    }
  }

  #show(): void {
    const { dataset } = document.documentElement
    dataset.light = this.#choices.light
    dataset.side = this.#choices.side
  }
}

export const look = new Look()
