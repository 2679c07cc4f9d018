/** What is drawn of a pose: paths, heads and labels, in hundredths of a stature, y downward. */
import { HEAD, LIMB } from './body'
import { poseOf, type Box, type Figure, type Role, type Side, type Written } from './figures'
import { along, jointsOf, mean, type Joints, type Point } from './joints'
import { labelled, type Circle, type Head, type Label } from './labels'
import { placed } from './placing'

/** How a figure is told from the others without colour. */
export type Style = 'full' | 'hollow' | 'dotted'

/** `ink` is the line, `core` what hollows it, `gap` what sets it off from what lies behind. */
export interface Stroke {
  readonly kind: string
  readonly path: string
}

export interface Drawn {
  readonly role: Role
  readonly style: Style
  readonly strokes: readonly Stroke[]
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
  /** The floor's line, and the box on it. */
  readonly ground: string
  readonly view: Frame
  readonly font: number
}

const UNIT = 100
const FLOOR = LIMB * UNIT
const MARGIN = 4
/** Small holds are not drawn larger than others. */
const LEAST_WIDTH = 160
const LEAST_HEIGHT = 80
/** Of the width: on a phone of 320 px a label has 16 px. */
const FONT = 0.05
const GROWS_OUT = 0.4
/** Who stands beside another or in line: every second is hollow. */
const BESIDE: readonly Role[] = ['partner', 'front', 'middle', 'back']
const STEPS = [0, 0.25, 0.5, 0.75]

export function drawing(
  written: Written,
  words: Readonly<Partial<Record<Role, string>>>,
): Drawing {
  const pose = poseOf(written)
  const found = placed(pose).map((body) => ({ ...body, joints: jointsOf(body) }))
  const drawn = found.map(({ figure, joints }, index) => drawnOf(figure, joints, index))
  const ink = found.flatMap(({ joints }) => covered(joints))
  const heads = found.map(({ figure, joints }) => ({
    ...headOf(figure, joints),
    word: words[figure.role] ?? '',
  }))
  const corners: Point[] = [
    ...ink.map(({ x }): Point => [x, FLOOR]),
    ...[...ink, ...heads].flatMap(square),
    ...cornersOf(pose.box),
  ]
  const font = round(around(corners).width * FONT)
  const several = new Set(drawn.map(({ role }) => role)).size > 1
  const labels = several ? labelled(heads, ink, font) : []
  const view = around([...corners, ...labels.flatMap(({ corners: of }) => of)])
  const ground = `M${view.x} ${FLOOR}h${view.width}${joined(cornersOf(pose.box))}`
  return {
    figures: drawn.toSorted((one, two) => behind(two) - behind(one)),
    labels,
    ground,
    view,
    font,
  }
}

function behind({ style }: Drawn): number {
  return Number(style === 'dotted')
}

function drawnOf(figure: Figure, joints: Joints, index: number): Drawn {
  const style = styleOf(figure.role, index)
  const broad = figure.faces === 'viewer'
  const lay = (kind: string, path: string): Stroke[] =>
    ['ink', ...(style === 'hollow' ? ['core'] : [])].map((of) => ({ kind: `${of} ${kind}`, path }))
  const strokes = [
    ...limbs(joints, 1).flatMap((limb) => lay(broad ? '' : 'far', limbOf(limb, 0))),
    ...lay('far', line([joints.shoulders, joints.head])),
    { kind: 'ink head', path: ring(headOf(figure, joints)) },
    ...lay(broad ? 'trunk broad' : 'trunk', broad ? broadside(joints) : curve(joints)),
    ...limbs(joints, 0).flatMap((limb) => [
      { kind: 'gap', path: limbOf(limb, GROWS_OUT) },
      ...lay('', limbOf(limb, 0)),
    ]),
  ]
  return { role: figure.role, style, strokes }
}

function styleOf(role: Role, index: number): Style {
  if (role === 'spotter') return 'dotted'
  if (role === 'flyer') return 'hollow'
  return BESIDE.includes(role) && index % 2 ? 'hollow' : 'full'
}

function headOf({ size }: Figure, { head, shoulders }: Joints): Head {
  const [[x, y], [fromX, fromY]] = [onPaper(head), onPaper(shoulders)]
  return { x, y, r: round(size * HEAD * UNIT), up: [x - fromX, y - fromY] }
}

function limbs({ arms, legs }: Joints, side: Side): (readonly Point[])[] {
  return [[...legs[side], legs[side][2]], arms[side]]
}

/** From a share of the way between the first two joints on: the rest grows out of the trunk. */
function limbOf([root, bend, ...rest]: readonly Point[], from: number): string {
  return root && bend ? line([along(root, bend, from), bend, ...rest]) : ''
}

function line(points: readonly Point[]): string {
  return joined(points.map(onPaper))
}

function joined(points: readonly Point[]): string {
  return points.length ? `M${points.map((point) => point.join(' ')).join('L')}` : ''
}

function ring({ x, y, r }: Circle): string {
  return `M${round(x - r)} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`
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

/** Places along the limbs and the trunk, dense enough to keep a label off them. */
function covered({ head, shoulders, back, hips, arms, legs }: Joints): Circle[] {
  return [[head, shoulders, back, hips], ...arms, ...legs].flatMap((joints) =>
    joints.flatMap((start, index) =>
      STEPS.map((step) => {
        const [x, y] = onPaper(along(start, joints[index + 1] ?? start, step))
        return { x, y, r: LIMB * UNIT }
      }),
    ),
  )
}

function onPaper([x, y]: Point): Point {
  return [round(x * UNIT), round(-y * UNIT)]
}

function round(value: number): number {
  return Math.round(value * 10) / 10
}

function square({ x, y, r }: Circle): Point[] {
  return [
    [x - r, y - r],
    [x + r, y + r],
  ]
}

/** A box from the floor up, over and down to the floor. */
function cornersOf(box: Box | null): Point[] {
  if (!box) return []
  const left = round((box.x - box.width / 2) * UNIT)
  const right = round((box.x + box.width / 2) * UNIT)
  const top = round(FLOOR - box.height * UNIT)
  return [
    [left, FLOOR],
    [left, top],
    [right, top],
    [right, FLOOR],
  ]
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
