/**
 * Where the joints of a figure are, once it is known how it is turned and where its hips are.
 * Directions are degrees clockwise from straight up; lengths are in statures of a figure of size 1;
 * x grows to the right and y upward. The same as `engine/pose/joints.py`, and held to its answers.
 */
import * as body from './body'
import { ahead, meant, SIDES, turns, type Figure, type Pair, type Side } from './figures'

export type Point = readonly [x: number, y: number]

const POINTED = 65
const TUCKED = 0
const HIGH_ON_THE_THIGH = 1 / 3
/** A foot that is nearer to the floor is flat on it or about to be. */
const NEAR_THE_FLOOR = 0.1
/** A shank that points down steeply enough to stand on its sole. */
const STEEP = cosine(120)

export interface Body {
  readonly figure: Figure
  readonly turn: number
  readonly hips: Point
  readonly arms: Pair<Pair>
  readonly legs: Pair<Pair>
}

/** `arms` are root, elbow and hand; `legs` root, knee, ankle, heel and toe. */
export interface Joints {
  readonly head: Point
  readonly shoulders: Point
  readonly back: Point
  readonly hips: Point
  readonly arms: Pair<readonly [Point, Point, Point]>
  readonly legs: Pair<readonly [Point, Point, Point, Point, Point]>
}

export function sine(degrees: number): number {
  return Math.sin((degrees * Math.PI) / 180)
}

export function cosine(degrees: number): number {
  return Math.cos((degrees * Math.PI) / 180)
}

export function moved([x, y]: Point, direction: number, length: number): Point {
  return [x + length * sine(direction), y + length * cosine(direction)]
}

export function direction([x, y]: Point, [toX, toY]: Point): number {
  return (Math.atan2(toX - x, toY - y) * 180) / Math.PI
}

export function distance([x, y]: Point, [toX, toY]: Point): number {
  return Math.hypot(toX - x, toY - y)
}

export function mean(points: readonly Point[]): Point {
  const sum = points.reduce<Point>(([x, y], [alsoX, alsoY]) => [x + alsoX, y + alsoY], [0, 0])
  return [sum[0] / points.length, sum[1] / points.length]
}

/** The place between two points at a share of the way. */
export function along([x, y]: Point, [toX, toY]: Point, share: number): Point {
  return [x + (toX - x) * share, y + (toY - y) * share]
}

export function both<T>(of: (side: Side) => T): Pair<T> {
  return [of(0), of(1)]
}

/** A figure bent as it is written, its hips at the origin. */
export function bodyOf(figure: Figure, turn: number): Body {
  const bend = (ahead(figure) * figure.back) / 2
  const limb = (root: number, first: Pair, second: Pair, side: Side, way: 1 | -1): Pair => {
    const start = root - turns(figure, side) * first[side]
    return [start, start - way * turns(figure, side) * second[side]]
  }
  return {
    figure,
    turn,
    hips: [0, 0],
    arms: both((side) => limb(turn + bend + 180, figure.shoulder, figure.elbow, side, 1)),
    legs: both((side) => limb(turn - bend + 180, figure.hip, figure.knee, side, -1)),
  }
}

export function jointsOf(of: Body): Joints {
  const { figure, hips, turn } = of
  const { size } = figure
  const bend = (ahead(figure) * figure.back) / 2
  const back = moved(hips, turn - bend, (size * body.TRUNK) / 2)
  const shoulders = moved(back, turn + bend, (size * body.TRUNK) / 2)
  const root = (middle: Point, along: number, half: number, side: Side): Point =>
    figure.faces === 'viewer' ? moved(middle, along + 90, (side ? -half : half) * size) : middle
  return {
    head: moved(shoulders, turn + bend + ahead(figure) * figure.neck, size * body.NECK),
    shoulders,
    back,
    hips,
    arms: both((side) => {
      const start = root(shoulders, turn + bend, body.HALF_SHOULDERS, side)
      const elbow = moved(start, of.arms[side][0], size * body.UPPER_ARM)
      return [start, elbow, moved(elbow, of.arms[side][1], size * body.FOREARM)]
    }),
    legs: both((side) => {
      const start = root(hips, turn - bend, body.HALF_HIPS, side)
      const knee = moved(start, of.legs[side][0], size * body.THIGH)
      const ankle = moved(knee, of.legs[side][1], size * body.SHANK)
      return [start, knee, ankle, ...foot(of, side, ankle)]
    }),
  }
}

/** Heel and toe; off the floor the heel is not told from the ankle. */
function foot(of: Body, side: Side, ankle: Point): [Point, Point] {
  const { figure } = of
  const way = turns(figure, side)
  const length = figure.size * body.FOOT * (figure.faces === 'viewer' ? body.FORESHORTENED : 1)
  const flat = stands(of, side, ankle[1])
  const ahead = flat ? way * 90 : of.legs[side][1] - way * (90 - bent(of, side))
  const under = moved(ankle, ahead + way * 90, figure.size * body.ANKLE)
  const toe = moved(under, ahead, (1 - body.HEEL) * length)
  return [flat ? moved(under, ahead, -body.HEEL * length) : ankle, toe]
}

/** Whether a side's own point of a kind is among what the figure rests on or reaches with. */
export function touches(figure: Figure, kind: string, side: Side): boolean {
  return [...Object.keys(figure.on), ...Object.keys(figure.reach)]
    .map(meant)
    .some(({ kind: its, sides }) => its === kind && sides.includes(side))
}

function bent({ figure }: Body, side: Side): number {
  return figure.ankle[side] ?? (touches(figure, 'toe', side) ? TUCKED : POINTED)
}

export function steep(of: Body, side: Side): boolean {
  return cosine(of.legs[side][1]) < STEEP
}

/** Whether a foot whose ankle is not written lies flat: it carries, or is near the floor. */
export function stands(of: Body, side: Side, ankleY: number): boolean {
  const { figure } = of
  if (figure.ankle[side] !== null) return false
  if (touches(figure, 'foot', side)) return true
  if (touches(figure, 'toe', side) || touches(figure, 'instep', side)) return false
  return ankleY - figure.size * body.ANKLE < NEAR_THE_FLOOR * figure.size && steep(of, side)
}

/** Where a named point is; of two sides, half-way between them. */
export function point(of: Body, name: string): Point {
  const joints = jointsOf(of)
  const { kind, sides } = meant(name)
  if (sides.length) return mean(sides.map((side) => ofLimb(joints, kind, side)))
  return joints[kind as 'hips' | 'back' | 'shoulders' | 'head']
}

function ofLimb(joints: Joints, kind: string, side: Side): Point {
  const [, elbow, hand] = joints.arms[side]
  const [root, knee, ankle, , toe] = joints.legs[side]
  switch (kind) {
    case 'elbow':
      return elbow
    case 'hand':
      return hand
    case 'thigh':
      return along(root, knee, HIGH_ON_THE_THIGH)
    case 'knee':
      return knee
    case 'shin':
      return mean([knee, ankle])
    case 'toe':
      return toe
    default:
      return ankle
  }
}

/** How far what touches lies below a named point, beyond half a limb's breadth. */
export function depth({ size }: Figure, name: string): number {
  switch (meant(name).kind) {
    case 'head':
      return size * body.HEAD - body.LIMB
    case 'hips':
    case 'back':
    case 'shoulders':
      return body.BROAD - body.LIMB
    case 'foot':
      return size * body.ANKLE
    default:
      return 0
  }
}

/**
 * The places where a figure could touch the floor, half a limb's breadth above its skin. Before it
 * is placed it is not known which feet are near the floor: a steep one counts as flat.
 */
export function bottoms(of: Body): Point[] {
  const joints = jointsOf(of)
  const trunk = ['head', 'shoulders', 'back', 'hips'].map((name): Point => {
    const [x, y] = point(of, name)
    return [x, y - depth(of.figure, name)]
  })
  const limbs = SIDES.flatMap((side): Point[] => {
    const [, elbow, hand] = joints.arms[side]
    const [, knee, ankle, , toe] = joints.legs[side]
    const flat = stands(of, side, ankle[1]) || (of.figure.ankle[side] === null && steep(of, side))
    const sole: Point = [ankle[0], ankle[1] - of.figure.size * body.ANKLE]
    return [elbow, hand, knee, ...(flat ? [sole] : [ankle, toe])]
  })
  return [...trunk, ...limbs]
}
