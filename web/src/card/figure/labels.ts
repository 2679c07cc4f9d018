/** The word beside each head, where it covers the least. */
import { cosine, sine, type Point } from './joints'

export interface Circle {
  readonly x: number
  readonly y: number
  readonly r: number
}

export interface Head extends Circle {
  /** From the shoulders to the head. */
  readonly up: Point
}

export interface Label {
  readonly word: string
  /** The middle of its base line. */
  readonly x: number
  readonly y: number
  readonly corners: readonly [Point, Point]
}

/** As shares of the font's size: breadth of a letter, room to the head, middle to base line. */
const LETTER = 0.56
const GAPS = [0.25, 1.4]
const DROP = 0.35
/** Degrees from straight beyond the head, in the order in which they are liked. */
const AWAY = [0, 45, -45, 90, -90, 135, -135, 180]
/** What covering a word, a head or the floor counts beside a point of a limb. */
const BAD = 10

/** Labels one after the other, each beyond its head if there is room, else round it. */
export function labelled(
  heads: readonly (Head & { readonly word: string })[],
  ink: readonly Circle[],
  font: number,
): Label[] {
  const labels: Label[] = []
  for (const { word, ...head } of heads.filter((one) => one.word)) {
    const options = GAPS.flatMap((gap) => AWAY.map((away) => beside(word, head, away, gap, font)))
    const covered = options.map((option) => crowd(option, heads, ink, labels, font / 2))
    const best = options[covered.indexOf(Math.min(...covered))]
    if (best) labels.push(best)
  }
  return labels
}

function beside(word: string, head: Head, away: number, room: number, font: number): Label {
  const { x, y, r, up } = head
  const along = (Math.atan2(up[0], -up[1]) * 180) / Math.PI + away
  const [halfWidth, halfHeight] = [(word.length * LETTER * font) / 2, font / 2]
  const gap = r + font * room
  const middle: Point = [
    x + gap * sine(along) + halfWidth * facing(sine(along)),
    y - gap * cosine(along) - halfHeight * facing(cosine(along)),
  ]
  return {
    word,
    x: middle[0],
    y: middle[1] + font * DROP,
    corners: [
      [middle[0] - halfWidth, middle[1] - halfHeight],
      [middle[0] + halfWidth, middle[1] + halfHeight],
    ],
  }
}

/** Which part of a word faces its head: the middle of a side, or a corner. */
function facing(share: number): number {
  return Math.max(-1, Math.min(1, share * Math.SQRT2))
}

function crowd(
  { corners }: Label,
  heads: readonly Circle[],
  ink: readonly Circle[],
  labels: readonly Label[],
  apart: number,
): number {
  const [[left, top], [right, bottom]] = corners
  const covers = ({ x, y, r }: Circle) =>
    x > left - r && x < right + r && y > top - r && y < bottom + r
  const words = labels.filter(
    ({ corners: [[l, t], [r, b]] }) =>
      l < right + apart && r > left - apart && t < bottom && b > top,
  )
  const bad = words.length + heads.filter(covers).length + Number(bottom > 0)
  return BAD * bad + ink.filter(covers).length
}
