/**
 * From cells and layers to places in the picture. A unit is a sixteenth of a rem, so that letters
 * keep their size however close one looks, and grow with those of the browser.
 */
import { isJoin, type Edge, type MapBody, type Node } from './graph'

export const REM = 16
/** Below this the cards have no words. */
export const WORDS_FROM = 5 * REM
export const LETTER = 14
export const LEADING = 17
const GAP = 6
const INSET = 5
const PLAIN = 28
const JOIN = 7
const LEAST_RISE = 30
// Of the space between two layers, in cells: lines that lean far stay apart.
const LEAST_SLOPE = 0.5

export interface Frame {
  readonly width: number
  readonly height: number
  readonly layers: number
  readonly cell: number
  /** From one layer to the next. */
  readonly pitch: number
  readonly box: { readonly width: number; readonly height: number }
  /** How many lines of words stand in a card. */
  readonly lines: number
}

export interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** `strip`: room for the pattern of whatever is laid over the map, at the foot of each card. */
export function frameOf(
  { width, layers }: Pick<MapBody, 'width' | 'layers'>,
  cell: number,
  { lines = 6, strip = 0 }: { lines?: number; strip?: number } = {},
): Frame {
  const shown = cell < WORDS_FROM ? 0 : lines
  const height = shown ? shown * LEADING + 2 * INSET + strip : PLAIN
  const pitch = height + Math.max(LEAST_RISE, cell * LEAST_SLOPE)
  return {
    width: width * cell,
    height: layers * pitch,
    layers,
    cell,
    pitch,
    box: { width: cell - GAP, height },
    lines: shown,
  }
}

/** The room for words in a card. */
export const roomOf = ({ box }: Frame): number => box.width - 2 * INSET

/** Where the first line of words stands in a card. */
export const firstLine = (box: Box): number => box.y + INSET + LETTER - 2

/** The cell in which all of the picture is `width` wide, and not so small that nothing is seen. */
export function cellFor({ width }: Pick<MapBody, 'width'>, room: number): number {
  return Math.max(2 * REM, width ? room / width : 0)
}

export function placeOf(frame: Frame, { x, layer }: { x: number; layer: number }) {
  return { x: x * frame.cell, y: (frame.layers - layer - 0.5) * frame.pitch }
}

export function boxOf(frame: Frame, node: Node): Box {
  const { x, y } = placeOf(frame, node)
  const { width, height } = isJoin(node) ? { width: 2 * JOIN, height: 2 * JOIN } : frame.box
  return { x: x - width / 2, y: y - height / 2, width, height }
}

/**
 * An edge as the `d` of a path: straight up (or down) through a layer, leaning only between two.
 * One that goes round leads out of the side of its card and back.
 */
export function pathOf(frame: Frame, edge: Edge, from: Node, to: Node): string {
  const points = everyLayer(edge.points)
  const [first, last] = [points[0]!, points.at(-1)!]
  if (first[1] === last[1]) return loop(boxOf(frame, from))
  const down = last[1] < first[1]
  const half = (frame.box.height / 2) * (down ? -1 : 1)
  const [start, end] = [boxOf(frame, from), boxOf(frame, to)]
  const parts = [`M${fixed(first[0] * frame.cell)} ${fixed(start.y + (down ? start.height : 0))}`]
  for (const [index, [x, layer]] of points.entries()) {
    const at = placeOf(frame, { x, layer })
    if (index) parts.push(`L${fixed(at.x)} ${fixed(at.y + half)}`)
    if (index < points.length - 1) parts.push(`V${fixed(at.y - half)}`)
  }
  parts.push(`V${fixed(end.y + (down ? 0 : end.height))}`)
  return parts.join('')
}

type Point = readonly [x: number, layer: number]

/** The points with those between them that lie on a straight line: one for each layer. */
function everyLayer(points: readonly (readonly number[])[]): Point[] {
  const found: Point[] = []
  for (const [x, layer] of points as readonly Point[]) {
    const before = found.at(-1)
    if (before) {
      const [from, at] = before
      const steps = Math.abs(layer - at)
      for (let step = 1; step < steps; step++) {
        found.push([from + ((x - from) * step) / steps, at + Math.sign(layer - at) * step])
      }
    }
    found.push([x, layer])
  }
  return found
}

function loop({ x, y, width, height }: Box): string {
  const side = x + width
  const [top, foot] = [y + height / 3, y + (2 * height) / 3]
  return `M${fixed(side)} ${fixed(top)}h${GAP / 2}V${fixed(foot)}h${-GAP / 2}`
}

const fixed = (value: number): number => Math.round(value * 10) / 10
