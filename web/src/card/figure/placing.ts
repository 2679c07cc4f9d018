/**
 * Figures put where they rest, in the order they are written, their limbs where they reach.
 * The same as `engine/pose/placing.py`; what cannot meet ends as near as it comes.
 */
import { FOREARM, LIMB, SHANK, THIGH, UPPER_ARM } from './body'
import { ahead, meant, POINTS, turns } from './figures'
import type { Figure, Pair, Pose, Side } from './figures'
import { along, bodyOf, bottoms, depth, direction, distance } from './joints'
import { jointsOf, mean, moved, point, type Body, type Point } from './joints'

const SURFACES = ['floor', 'box']
/** Heights that are one height. */
const SAME = 1e-6

/** Where a figure's own point goes; a surface leaves x open. */
interface Mark {
  readonly key: string
  readonly x: number | null
  readonly y: number
}

type Bodies = Map<string, Body>
type Reach = readonly [Figure, key: string]

export function placed(pose: Pose): Body[] {
  const bodies: Bodies = new Map()
  let waiting = pose.figures.flatMap((figure) =>
    [...POINTS.keys()].filter((key) => key in figure.reach).map((key): Reach => [figure, key]),
  )
  for (const figure of pose.figures) {
    const marks = [...POINTS.keys()]
      .filter((key) => key in figure.on)
      .map((key) => mark(figure, key, pose, bodies))
      .sort((one, two) => Number(one.x === null) - Number(two.x === null))
    bodies.set(figure.name, rested(figure, marks))
    // As soon as what is reached for is there: later figures rest on hands that hold.
    for (const entry of waiting.filter((one) => isThere(one, bodies))) {
      waiting = waiting.filter((one) => one !== entry)
      reach(...entry, pose, bodies)
    }
  }
  return [...bodies.values()]
}

function isThere([figure, key]: Reach, bodies: Bodies): boolean {
  const [name] = theirs(figure.reach[key] ?? '')
  return bodies.has(figure.name) && (bodies.has(name) || SURFACES.includes(name))
}

function rested(figure: Figure, [first, second]: readonly Mark[]): Body {
  if (first && second) return between(figure, first, second)
  const body = bodyOf(figure, ahead(figure) * figure.trunk)
  return first ? at(body, first) : onTheFloor(body)
}

/** The height of a surface; undefined for a point of a figure. */
function surface(pose: Pose, where: string): number | undefined {
  if (where === 'floor') return 0
  return where === 'box' ? (pose.box?.height ?? 0) : undefined
}

function theirs(where: string): [name: string, point: string] {
  const [name = '', at = ''] = where.split('.')
  return [name, at]
}

function mark(figure: Figure, key: string, pose: Pose, bodies: Bodies): Mark {
  const where = figure.on[key] ?? ''
  const height = surface(pose, where)
  if (height !== undefined) return { key, x: null, y: height + depth(figure, key) }
  const [name, at] = theirs(where)
  const [x, y] = onTop(figure, key, bodies.get(name)!, at)
  return { key, x: x + figure.x, y }
}

function onTop(figure: Figure, key: string, other: Body, at: string): Point {
  const [x, y] = point(other, at)
  return [x, y + depth(other.figure, at) + 2 * LIMB + depth(figure, key)]
}

function at(body: Body, { key, x, y }: Mark): Body {
  const [ownX, ownY] = point(body, key)
  return shifted(body, (x ?? body.figure.x) - ownX, y - ownY)
}

function shifted(body: Body, x: number, y: number): Body {
  return { ...body, hips: [body.hips[0] + x, body.hips[1] + y] }
}

/** Turned so that two points touch what they rest on; of two ways, the hips on top. */
function between(figure: Figure, first: Mark, second: Mark): Body {
  const straight = bodyOf(figure, 0)
  const start = point(straight, first.key)
  const end = point(straight, second.key)
  const leads = direction(start, end)
  const lean = degrees(Math.acos(share(second.y - first.y, distance(start, end))))
  const options =
    second.x === null
      ? [lean - leads, -lean - leads]
      : [direction([first.x ?? figure.x, first.y], [second.x, second.y]) - leads]
  return options
    .map((turn) => at(bodyOf(figure, turn), first))
    .reduce((one, two) => (two.hips[1] > one.hips[1] + SAME ? two : one))
}

function degrees(radians: number): number {
  return (radians * 180) / Math.PI
}

function share(part: number, whole: number): number {
  return whole ? Math.max(-1, Math.min(1, part / whole)) : 1
}

function onTheFloor(body: Body): Body {
  const touching = bottoms(body)
  const low = Math.min(...touching.map(([, y]) => y))
  const [middle] = mean(touching.filter(([, y]) => y < low + SAME))
  return shifted(body, body.figure.x - middle, -low)
}

/** The limbs that a contact names, bent until they touch it. */
function reach(figure: Figure, key: string, pose: Pose, bodies: Bodies): void {
  const { kind, sides } = meant(key)
  const where = figure.reach[key] ?? ''
  const height = surface(pose, where)
  for (const side of sides) {
    const body = bodies.get(figure.name)!
    const own = sideOf(kind, side)
    if (height !== undefined) {
      bodies.set(figure.name, lowered(body, kind, side, height + depth(figure, own)))
      continue
    }
    const [name, all] = theirs(where)
    const other = meant(all)
    const at = sides.length === 2 && other.sides.length === 2 ? sideOf(other.kind, side) : all
    bodies.set(figure.name, bentTo(body, kind, side, aim(body, own, bodies.get(name)!, at)))
  }
}

function sideOf(kind: string, side: Side): string {
  return side ? `other_${kind}` : kind
}

/** Where a limb's end goes; two that reach for each other meet in between. */
function aim(body: Body, own: string, other: Body, at: string): Point {
  if (meant(own).kind === 'foot') return onTop(body.figure, own, other, at)
  if (!reachesBack(other.figure, at, body.figure, own)) return point(other, at)
  const part = body.figure.size / (body.figure.size + other.figure.size)
  return along(root(body, own), root(other, at), part)
}

function reachesBack(other: Figure, at: string, figure: Figure, own: string): boolean {
  return Object.entries(other.reach).some(([key, where]) => {
    const [name, point] = theirs(where)
    return name === figure.name && overlap(key, at) && overlap(point, own)
  })
}

function overlap(one: string, two: string): boolean {
  const [{ kind, sides }, other] = [meant(one), meant(two)]
  return kind === other.kind && sides.some((side) => other.sides.includes(side))
}

function root(body: Body, name: string): Point {
  const joints = jointsOf(body)
  return mean(meant(name).sides.map((side) => joints.arms[side][0]))
}

function ends(body: Body, kind: string, side: Side): [root: Point, end: Point, limb: Pair] {
  const { arms, legs } = jointsOf(body)
  return kind === 'hand'
    ? [arms[side][0], arms[side][2], body.arms[side]]
    : [legs[side][0], legs[side][2], body.legs[side]]
}

function withLimb(body: Body, kind: string, side: Side, limb: Pair): Body {
  const swapped = ([one, two]: Pair<Pair>): Pair<Pair> => (side ? [one, limb] : [limb, two])
  if (kind === 'hand') return { ...body, arms: swapped(body.arms) }
  return { ...body, legs: swapped(body.legs) }
}

/** The limb turned at its root, as little as need be, until its end is at a height. */
function lowered(body: Body, kind: string, side: Side, height: number): Body {
  const [start, end, limb] = ends(body, kind, side)
  const leads = direction(start, end)
  const lean = degrees(Math.acos(share(height - start[1], distance(start, end))))
  const [one, two] = [around(lean - leads), around(-lean - leads)]
  const turn = Math.abs(two) < Math.abs(one) - SAME ? two : one
  return withLimb(body, kind, side, [limb[0] + turn, limb[1] + turn])
}

function around(turn: number): number {
  return ((((turn + 180) % 360) + 360) % 360) - 180
}

/** The two segments of a limb bent the way they bend, until the end is at a point. */
function bentTo(body: Body, kind: string, side: Side, goal: Point): Body {
  const { size } = body.figure
  const hand = kind === 'hand'
  const first = (hand ? UPPER_ARM : THIGH) * size
  const second = (hand ? FOREARM : SHANK) * size
  const [start] = ends(body, kind, side)
  const leads = direction(start, goal)
  const near = Math.max(Math.abs(first - second), Math.min(first + second, distance(start, goal)))
  const inner = degrees(Math.acos(share(first ** 2 + near ** 2 - second ** 2, 2 * first * near)))
  const bend = leads + (hand ? 1 : -1) * turns(body.figure, side) * inner
  const middle = moved(start, bend, first)
  return withLimb(body, kind, side, [bend, direction(middle, moved(start, leads, near))])
}
