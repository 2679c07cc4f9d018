/** The picture of a hold, as its form writes it: who is in it, and what may be named. */
import { POINTS } from '../card/figure/figures'
import { atDesk } from '../words/at-desk'
import { words } from '../words/words'
import type { Doc, Value } from './card'

const said = atDesk.draftCard.pose

export const SURFACES = ['floor', 'box'] as const
/** What hands and feet can be told to go to something. */
export const REACHING = ['hands', 'hand', 'other_hand', 'feet', 'foot', 'other_foot']
export const RESTING = [...POINTS.keys()]

/** A point of a body in words; what is none as it stands. */
export const pointSaid = (point: string): string => inWords(said.points, point)

/** How the figures of a picture are named, in their order: the second base is `base_2`. */
export function figureNames(figures: Value): string[] {
  if (!Array.isArray(figures)) return []
  const seen = new Map<string, number>()
  return figures.map((figure: Doc) => {
    const role = String(figure.role ?? '')
    const count = (seen.get(role) ?? 0) + 1
    seen.set(role, count)
    return count === 1 ? role : `${role}_${count}`
  })
}

/** “base”, “base 2”. */
export function figureSaid(name: string): string {
  const [, role = name, number] = /^(.*?)(?:_(\d+))?$/.exec(name) ?? []
  const word = inWords(words.shell.role, role)
  return number ? said.nth(word, Number(number)) : word
}

/** What a point rests on or goes to: a surface, or a figure and one of its points. */
export function targetOf(written: Value): { readonly on: string; readonly point: string } {
  const [on = '', point = ''] = String(written ?? '').split('.')
  return { on, point }
}

/** With another surface or figure; a figure's point stays if there was one. */
export function onto(written: Value, on: string): string {
  const { point } = targetOf(written)
  return isSurface(on) ? on : `${on}.${point || 'hips'}`
}

function inWords(all: Readonly<Record<string, string>>, key: string): string {
  return Object.hasOwn(all, key) ? all[key]! : key
}

export const isSurface = (on: string): boolean => SURFACES.some((surface) => surface === on)
