/** A pose as the card says it, with what is not written filled in; as `engine/pose/figures.py`. */
import type { components } from '../../api/schema'

export type Written = components['schemas']['Pose']
export type Role = Written['figures'][number]['role']
export type Pair<T = number> = readonly [T, T]
export type Side = 0 | 1
export const SIDES: readonly Side[] = [0, 1]

export interface Figure {
  readonly name: string
  readonly role: Role
  readonly size: number
  readonly faces: 'right' | 'left' | 'viewer'
  readonly x: number
  readonly trunk: number
  readonly back: number
  readonly neck: number
  readonly shoulder: Pair
  readonly elbow: Pair
  readonly hip: Pair
  readonly knee: Pair
  readonly ankle: Pair<number | null>
  readonly on: Readonly<Record<string, string>>
  readonly reach: Readonly<Record<string, string>>
}

export interface Box {
  readonly x: number
  readonly width: number
  readonly height: number
}

export interface Pose {
  readonly figures: readonly Figure[]
  readonly box: Box | null
}

export interface Meant {
  readonly kind: string
  readonly sides: readonly Side[]
}

const SIZES: Partial<Record<Role, number>> = { flyer: 0.9, spotter: 1.2 }

const LIMB_POINTS = {
  foot: 'feet',
  toe: 'toes',
  instep: 'insteps',
  shin: 'shins',
  knee: 'knees',
  thigh: 'thighs',
  elbow: 'elbows',
  hand: 'hands',
}

/** What is meant by a point. Their order decides which of two contacts a figure's `x` is about. */
export const POINTS: ReadonlyMap<string, Meant> = new Map<string, Meant>([
  ...Object.entries(LIMB_POINTS).flatMap(([one, two]): [string, Meant][] => [
    [two, { kind: one, sides: [0, 1] }],
    [one, { kind: one, sides: [0] }],
    [`other_${one}`, { kind: one, sides: [1] }],
  ]),
  ...['hips', 'back', 'shoulders', 'head'].map((kind): [string, Meant] => [
    kind,
    { kind, sides: [] },
  ]),
])

/** A published pose names no other: the server has looked. */
export function meant(name: string): Meant {
  return POINTS.get(name)!
}

export function poseOf(written: Written): Pose {
  const seen = new Map<string, number>()
  const figures = written.figures.map((one): Figure => {
    const count = (seen.get(one.role) ?? 0) + 1
    seen.set(one.role, count)
    return {
      name: count === 1 ? one.role : `${one.role}_${count}`,
      role: one.role,
      size: one.size ?? SIZES[one.role] ?? 1,
      faces: one.faces ?? 'right',
      x: one.x ?? 0,
      trunk: one.trunk ?? 0,
      back: one.back ?? 0,
      neck: one.neck ?? 0,
      shoulder: pair(one.shoulder, 0),
      elbow: pair(one.elbow, 0),
      hip: pair(one.hip, 0),
      knee: pair(one.knee, 0),
      ankle: pair<number | null>(one.ankle, null),
      on: one.on ?? {},
      reach: one.reach ?? {},
    }
  })
  return { figures, box: written.box ?? null }
}

function pair<T>(written: T | readonly T[] | undefined, other: T): Pair<T> {
  const [first = other, second = first] = Array.isArray(written) ? written : [written ?? other]
  return [first, second]
}

/** 1 if forward is to the right of the picture. */
export function ahead(figure: Figure): 1 | -1 {
  return figure.faces === 'left' ? -1 : 1
}

/** 1 if what bends forward on this side turns against the clock in the picture. */
export function turns(figure: Figure, side: Side): 1 | -1 {
  return side === 1 && figure.faces === 'viewer' ? -1 : ahead(figure)
}
