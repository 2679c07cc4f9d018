import { expect, test } from 'vitest'
import { boxOf, cellFor, frameOf, pathOf, REM, roomOf } from './geometry'
import { graphOf } from './graph'
import { SAMPLE } from './sample'
import { filled, lined } from './wrap'

const graph = graphOf(SAMPLE)
const frame = frameOf(SAMPLE, 100)
const node = (key: string) => graph.nodes.get(key)!

/** The corners of a path that is made of M, L and V. */
function corners(path: string): [number, number][] {
  const found: [number, number][] = []
  for (const [, sign, text] of path.matchAll(/([MLV])([^MLV]+)/g)) {
    const [one, other] = text!.split(' ').map(Number)
    found.push(sign === 'V' ? [found.at(-1)![0], one!] : [one!, other!])
  }
  return found
}

test('the bottom layer is at the foot of the picture', () => {
  const tops = ['plank', 'raised', 'seat'].map((key) => boxOf(frame, node(key)).y)
  expect(tops).toEqual([...tops].sort((one, other) => other - one))
  for (const one of SAMPLE.nodes) {
    const { x, y, width, height } = boxOf(frame, one)
    expect(Math.min(x, y)).toBeGreaterThanOrEqual(0)
    expect(x + width).toBeLessThanOrEqual(frame.width)
    expect(y + height).toBeLessThanOrEqual(frame.height)
  }
})

test.each(SAMPLE.edges.map((edge) => [`${edge.from} ${edge.to}`, edge] as const))(
  '%s leads from edge to edge and leans only between layers',
  (_, edge) => {
    const [from, to] = [node(edge.from), node(edge.to)]
    const found = corners(pathOf(frame, edge, from, to))
    const [start, end] = [boxOf(frame, from), boxOf(frame, to)]
    expect(found[0]).toEqual([start.x + start.width / 2, start.y])
    expect(found.at(-1)).toEqual([end.x + end.width / 2, end.y + end.height])
    const band = frame.box.height / 2
    for (const [index, [x, y]] of found.slice(1).entries()) {
      const [before, above] = found[index]!
      if (before === x) continue
      // Both ends of what leans stand where two layers meet their space.
      for (const height of [above, y]) {
        const off = (height / frame.pitch) % 1
        expect(Math.abs(off - 0.5) * frame.pitch).toBeCloseTo(band, 0)
      }
    }
  },
)

test('a bend that lies on a straight line is passed upright too', () => {
  const [arch, join] = [node('arch'), node('seat.1')]
  const found = corners(pathOf(frame, SAMPLE.edges[2]!, arch, join))
  const upright = found.filter(([x], index) => found[index + 1]?.[0] === x).map(([x]) => x)
  expect(upright).toContain(200)
})

test('an edge may run down or round', () => {
  const down = { ...SAMPLE.edges[0]!, runs: 'down' as const, points: [[0.5, 1], [0.5, 0]] }
  const heights = corners(pathOf(frame, down, node('raised'), node('plank'))).map(([, y]) => y)
  expect(heights).toEqual([...heights].sort((one, other) => one - other))
  const round = { ...down, runs: 'round' as const, points: [[2, 3], [2, 3]] }
  expect(pathOf(frame, round, node('seat'), node('seat'))).toMatch(/^M\S+ \S+h3V\S+h-3$/)
})

test('words stand in a card where there is room for them', () => {
  expect(frameOf(SAMPLE, 4 * REM).lines).toBe(0)
  expect(frame.lines).toBeGreaterThan(2)
  expect(cellFor(SAMPLE, 1000)).toBe(250)
  expect(cellFor(SAMPLE, 10)).toBe(2 * REM)
})

test('a name is cut where it must be, all else is there whole or not', () => {
  const name = { text: 'Facing lean, one arm open, then the other', kind: 'name', must: true }
  const word = { text: 'may begin', kind: 'word', must: true }
  const parts = [name, word, { text: 'Leaning together', kind: 'soft', must: false }]
  const room = roomOf(frame)
  const whole = lined(name.text, room, true)
  expect(whole.join(' ')).toBe(name.text)
  const most = whole.length
  const kinds = (lines: number) => filled(parts, room, lines).map((one) => one.kind)
  expect(new Set(kinds(most + 3))).toEqual(new Set(['name', 'word', 'soft']))
  expect(kinds(most + 2)).not.toContain('soft')
  const cut = filled(parts, room, most + 1).filter((one) => one.kind === 'name')
  expect(cut.at(-1)!.text).toMatch(/…$/)
  expect(kinds(most + 1)).toContain('word')
  expect(kinds(0)).toEqual([])
  expect(lined('Unbreakablelongword', 70).join('').replaceAll('-', '')).toBe('Unbreakablelongword')
  expect(lined('Back-to-back stand-up', 70).join('')).toBe('Back-to-back stand-up'.replace(' ', ''))
})
