/** Heights as they are typed and shown at a studio; the API takes and tells centimetres. */
import type { components } from '../api/schema'
import { figure } from './said'

export type Units = components['schemas']['Studio']['units']

const CM_PER_INCH = 2.54

/** What was typed, in cm; what is no number goes as it was written. */
export function cmOf(text: string, units: Units): number | string | null {
  const typed = figure(text)
  if (typeof typed !== 'number' || units === 'metric') return typed
  return Math.round(typed * CM_PER_INCH * 100) / 100
}

/** The figure alone, to a millimetre or a tenth of an inch. */
export function typedOf(cm: number, units: Units): string {
  const value = units === 'metric' ? cm : cm / CM_PER_INCH
  return String(Math.round(value * 10) / 10)
}
