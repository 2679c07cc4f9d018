/** Some children of a problem, and all groups that may be proposed out of them.
 *
 * A set of them is a mask: bit 0 is the first in the table. Of all groups of one set only the best
 * is told, since levels add up: whatever else is chosen beside it, another is never better. */

import type { Problem, Size } from './problem'
import { keyOf, type Seating } from './table'
import type { Weights } from './weights'

export interface Candidate {
  readonly mask: number
  readonly value: number
  /** Who holds which role, in the order of the problem's roles. */
  readonly held: readonly Held[]
}

interface Held {
  readonly mask: number
  readonly places: readonly number[]
  readonly key: string
}

export class Pool {
  readonly everybody: number
  /** How many ways to seat somebody were looked at. */
  looked = 0
  private readonly subsets: readonly (readonly Held[])[]
  private readonly past: readonly (readonly [number, number])[]
  private readonly apart: readonly number[]
  private readonly together: readonly number[]

  constructor(
    private readonly problem: Problem,
    private readonly weights: Weights,
    readonly places: readonly number[],
  ) {
    this.everybody = 2 ** places.length - 1
    this.subsets = problem.sizes.map((size) => this.subsetsOf(size))
    this.past = problem.pastPairs
      .map(([one, other, count]) => [this.mask([one, other]), count] as const)
      .filter(([mask]) => countOf(mask) === 2)
    this.apart = problem.notWith
      .map(([one, other]) => this.mask([one, other]))
      .filter((mask) => countOf(mask) === 2)
    this.together = problem.onlyWith.map(([one, other]) => this.mask([one, other]))
  }

  /** In the order of the table; those that carry on a group which stood are worth what is kept. */
  candidates(stood: Seating | null): Candidate[] {
    let parts = new Map<number, Candidate>([[0, { mask: 0, value: 0, held: [] }]])
    this.problem.sizes.forEach(({ role }, index) => {
      const next = new Map<number, Candidate>()
      const subsets = (this.subsets[index] ?? []).map((some) => ({
        some,
        worth: this.worthIn(role, some, stood),
      }))
      for (const part of parts.values()) {
        const [bases] = part.held
        this.looked += subsets.length
        const asked = role === 'flyer' && bases ? this.problem.under(bases.places) : null
        for (const { some, worth } of subsets) {
          if (part.mask & some.mask) continue
          const asks = asked ? asked(some.places, some.key) : 0
          if (asks === null) continue
          const mask = part.mask | some.mask
          const value = part.value + worth + asks * this.weights.asks
          const best = next.get(mask)
          if (!best || best.value < value)
            next.set(mask, { mask, value, held: [...part.held, some] })
        }
      }
      parts = next
    })
    const touched = stood ? this.mask(Object.values(stood).flat()) : this.everybody
    return [...parts.values()]
      .filter(({ mask }) => mask & touched && this.wishesHold(mask))
      .map((part) => ({ ...part, value: part.value + this.repeats(part.mask) }))
      .sort((one, other) => earlier(one.mask, other.mask))
  }

  mask(places: readonly number[]): number {
    return places.reduce((mask, at) => {
      const index = this.places.indexOf(at)
      return index < 0 ? mask : mask | (1 << index)
    }, 0)
  }

  seats({ held }: Candidate): Seating {
    const seats = this.problem.sizes.map(
      ({ role }, index) => [role, held[index]?.places ?? []] as const,
    )
    return Object.fromEntries(seats.filter(([, places]) => places.length))
  }

  private repeats(mask: number): number {
    return (
      this.past.reduce((sum, [pair, count]) => sum + ((mask & pair) === pair ? count : 0), 0) *
      this.weights.repeats
    )
  }

  private worthIn(role: string, { places }: Held, stood: Seating | null): number {
    const { placed, fairness, kept } = this.weights
    const before = stood?.[role] ?? []
    return places.reduce((sum, at) => {
      return (
        sum + placed + fairness * this.problem.gain(role, at) + (before.includes(at) ? kept : 0)
      )
    }, 0)
  }

  private wishesHold(mask: number): boolean {
    return (
      !this.apart.some((pair) => (mask & pair) === pair) &&
      !this.together.some((pair) => countOf(mask & pair) === 1)
    )
  }

  /** Those who may hold a role, in as many as it takes; the earlier in the table first. */
  private subsetsOf({ role, min, max }: Size): Held[] {
    const able = this.places.filter((at) => this.problem.mayHold(role, at))
    const found: Held[] = []
    const grow = (places: readonly number[], from: number) => {
      if (places.length >= min)
        found.push({ mask: this.mask(places), places, key: keyOf(places) })
      if (places.length === max) return
      able.slice(from).forEach((at, index) => grow([...places, at], from + index + 1))
    }
    grow([], 0)
    return found
  }
}

export function countOf(mask: number): number {
  let count = 0
  for (let left = mask; left; left &= left - 1) count += 1
  return count
}

/** Before it is whatever has the first child of the table whom not both have. */
function earlier(one: number, other: number): number {
  const differs = one ^ other
  return one & differs & -differs ? -1 : 1
}
