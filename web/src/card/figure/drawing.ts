/** What is drawn of a pose: paths, heads and labels, in hundredths of a stature, y downward. */
import { HEAD, LIMB } from './body'
import { poseOf, type Box, type Figure, type Role, type Side, type Written } from './figures'
import { along, jointsOf, mean, type Joints, type Point } from './joints'
import { labelled, type Circle, type Head, type Label } from './labels'
import { placed } from './placing'

/** How a figure is told from the others without colour. */
export type Style = 'full' | 'hollow' | 'dotted'

export interface Limb {
  readonly near: boolean
  readonly path: string
  /** The part that is set off from what lies behind it; the rest grows out of the trunk. */
  readonly free: string
}

export interface Drawn {
  readonly role: Role
  readonly style: Style
  /** Whether it faces the viewer. */
  readonly broad: boolean
  readonly trunk: string
  readonly neck: string
  readonly head: Head
  readonly limbs: readonly Limb[]
}

export interface Frame {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

export interface Drawing {
  /** In the order in which they are drawn, an adult who spots behind the others. */
  readonly figures: readonly Drawn[]
  readonly labels: readonly Label[]
  readonly box: Frame | null
  readonly floor: number
  readonly view: Frame
  readonly font: number
}

const UNIT = 100
const MARGIN = 4
/** Small holds are not drawn larger than others. */
const LEAST_WIDTH = 160
const LEAST_HEIGHT = 80
/** Of the width: on a phone of 320 px a label has 16 px. */
const FONT = 0.05
const GROWS_OUT = 0.4
const STEPS = [0, 0.25, 0.5, 0.75]

export function drawing(written: Written, words: Readonly<Partial<Record<Role, string>>>): Drawing {
  const pose = poseOf(written)
  const found = placed(pose).map((body) => ({ figure: body.figure, joints: jointsOf(body) }))
  const drawn = found.map(({ figure, joints }) => drawnOf(figure, joints))
  const box = pose.box && frameOf(pose.box)
  const ink = found.flatMap(({ joints }) => covered(joints))
  const heads = drawn.map(({ head }) => head)
  const corners: Point[] = [
    ...ink.map(([x]): Point => [x, LIMB * UNIT]),
    ...[...ink.map(circle), ...heads].flatMap(square),
    ...(box ? [[box.x, box.y] as const, [box.x + box.width, box.y + box.height] as const] : []),
  ]
  const font = round(around(corners).width * FONT)
  const several = new Set(drawn.map(({ role }) => role)).size > 1
  const told = several ? drawn.map(({ role, head }) => ({ word: words[role] ?? '', head })) : []
  const labels = labelled(told, ink.map(circle), font)
  return {
    figures: drawn.toSorted((one, two) => behind(two) - behind(one)),
    labels,
    box,
    floor: LIMB * UNIT,
    view: around([...corners, ...labels.flatMap(({ corners: of }) => of)]),
    font,
  }
}

function behind({ style }: Drawn): number {
  return Number(style === 'dotted')
}

function drawnOf(figure: Figure, joints: Joints): Drawn {
  const [head, shoulders] = [onPaper(joints.head), onPaper(joints.shoulders)]
  const broad = figure.faces === 'viewer'
  return {
    role: figure.role,
    style: styleOf(figure),
    broad,
    trunk: broad ? broadside(joints) : curve(joints),
    neck: line([joints.shoulders, joints.head]),
    head: {
      x: head[0],
      y: head[1],
      r: round(figure.size * HEAD * UNIT),
      up: [head[0] - shoulders[0], head[1] - shoulders[1]],
    },
    limbs: [...limbs(joints, 1), ...limbs(joints, 0)],
  }
}

/** Every second of equals is hollow. */
function styleOf({ name, role }: Figure): Style {
  if (role === 'spotter') return 'dotted'
  if (role === 'flyer' || role === 'middle') return 'hollow'
  return role === 'partner' && /[2468]$/.test(name) ? 'hollow' : 'full'
}

function limbs(joints: Joints, side: Side): Limb[] {
  const [, elbow, hand] = joints.arms[side]
  const [, knee, ankle, heel, toe] = joints.legs[side]
  return [
    limb(!side, joints.legs[side][0], knee, [ankle, heel, toe, ankle]),
    limb(!side, joints.arms[side][0], elbow, [hand]),
  ]
}

function limb(near: boolean, root: Point, bend: Point, rest: readonly Point[]): Limb {
  const free = line([along(root, bend, GROWS_OUT), bend, ...rest])
  return { near, path: line([root, bend, ...rest]), free }
}

function line(points: readonly Point[]): string {
  return `M${points.map((point) => onPaper(point).join(' ')).join('L')}`
}

/** Through the middle of the back. */
function curve({ hips, back, shoulders }: Joints): string {
  const middle = mean([hips, shoulders])
  const pull: Point = [2 * back[0] - middle[0], 2 * back[1] - middle[1]]
  return `${line([hips])}Q${onPaper(pull).join(' ')} ${onPaper(shoulders).join(' ')}`
}

function broadside({ arms, legs }: Joints): string {
  return `${line([arms[0][0], arms[1][0], legs[1][0], legs[0][0]])}Z`
}

/** Points along the limbs and the trunk, dense enough to keep a label off them. */
function covered({ head, shoulders, back, hips, arms, legs }: Joints): Point[] {
  return [[head, shoulders, back, hips], ...arms, ...legs].flatMap((joints) =>
    joints.flatMap((start, index) => {
      const end = joints[index + 1] ?? start
      return STEPS.map((step) => onPaper(along(start, end, step)))
    }),
  )
}

function onPaper([x, y]: Point): Point {
  return [round(x * UNIT), round(-y * UNIT)]
}

function round(value: number): number {
  return Math.round(value * 10) / 10
}

function circle([x, y]: Point): Circle {
  return { x, y, r: LIMB * UNIT }
}

function square({ x, y, r }: Circle): Point[] {
  return [
    [x - r, y - r],
    [x + r, y + r],
  ]
}

function frameOf({ x, width, height }: Box): Frame {
  return {
    x: round((x - width / 2) * UNIT),
    y: round((LIMB - height) * UNIT),
    width: round(width * UNIT),
    height: round(height * UNIT),
  }
}

function around(points: readonly Point[]): Frame {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)]
  const [left, top] = [Math.min(...xs) - MARGIN, Math.min(...ys) - MARGIN]
  const [wide, high] = [Math.max(...xs) + MARGIN - left, Math.max(...ys) + MARGIN - top]
  const [width, height] = [Math.max(wide, LEAST_WIDTH), Math.max(high, LEAST_HEIGHT)]
  return {
    x: round(left - (width - wide) / 2),
    y: round(top - (height - high)),
    width: round(width),
    height: round(height),
  }
}
