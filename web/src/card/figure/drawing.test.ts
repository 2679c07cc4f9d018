import { describe, expect, test } from 'vitest'
import { drawing } from './drawing'
import type { Written } from './figures'

const WORDS = { base: 'base', flyer: 'flyer', partner: 'partner', spotter: 'spotter' }

const SEAT: Written = {
  figures: [
    { role: 'base', shoulder: 73, hip: 73, knee: 90, on: { hands: 'floor', knees: 'floor' } },
    { role: 'flyer', faces: 'left', hip: 90, knee: 90, on: { hips: 'base.hips' } },
    { role: 'spotter', x: -0.6 },
  ],
}

describe('a child who stands', () => {
  const drawn = drawing({ figures: [{ role: 'solo' }] }, WORDS)

  test('is a hundred high, from the soles to the top of the head', () => {
    const [child] = drawn.figures
    expect((child?.head.y ?? 0) - (child?.head.r ?? 0)).toBe(-100)
    expect(child?.limbs[2]?.path).toBe('M0 -51L0 -28.2L0 -2.9L-3.5 0L10.5 0L0 -2.9')
  })

  test('stands on the floor, half a limb below her middle line', () => {
    expect(drawn.floor).toBe(3)
  })

  test('fits into the frame with room round her, and has no label', () => {
    expect(drawn.view).toEqual({ x: -76.5, y: -104, width: 160, height: 111 })
    expect(drawn.labels).toEqual([])
  })
})

describe('roles', () => {
  test('are told apart by line, and an adult who spots is drawn first', () => {
    const { figures } = drawing(SEAT, WORDS)
    expect(figures.map(({ role, style }) => [role, style])).toEqual([
      ['spotter', 'dotted'],
      ['base', 'full'],
      ['flyer', 'hollow'],
    ])
  })

  test('have their words, in the order of the figures', () => {
    const words = drawing(SEAT, WORDS).labels.map(({ word }) => word)
    expect(words).toEqual(['base', 'flyer', 'spotter'])
  })

  test('of equals every second is hollow, and all are one word that is left out', () => {
    const { figures, labels } = drawing(
      { figures: [{ role: 'partner' }, { role: 'partner', x: 1 }, { role: 'partner', x: 2 }] },
      WORDS,
    )
    expect(figures.map(({ style }) => style)).toEqual(['full', 'hollow', 'full'])
    expect(labels).toEqual([])
  })

  test('without a word have no label', () => {
    expect(drawing(SEAT, { flyer: 'flyer' }).labels.map(({ word }) => word)).toEqual(['flyer'])
  })
})

test('no word lies on another, on a head or in the floor, and all are in the frame', () => {
  const { labels, figures, view } = drawing(SEAT, WORDS)
  labels.forEach(({ corners: [[left, top], [right, bottom]] }, index) => {
    expect(bottom).toBeLessThanOrEqual(0)
    expect(Math.min(left - view.x, top - view.y, view.x + view.width - right)).toBeGreaterThan(0)
    for (const { head } of figures) {
      const across = Math.max(left - head.x, head.x - right, 0)
      const down = Math.max(top - head.y, head.y - bottom, 0)
      expect(Math.hypot(across, down)).toBeGreaterThan(head.r)
    }
    for (const { corners: other } of labels.slice(index + 1)) {
      const [[otherLeft, otherTop], [otherRight, otherBottom]] = other
      const across = left < otherRight && right > otherLeft
      expect(across && top < otherBottom && bottom > otherTop).toBe(false)
    }
  })
})

test('a box stands on the floor', () => {
  const pose: Written = {
    figures: [{ role: 'solo' }],
    box: { x: 1, width: 0.4, height: 0.25 },
  }
  const { box, floor } = drawing(pose, WORDS)
  expect(box).toEqual({ x: 80, y: -22, width: 40, height: 25 })
  expect((box?.y ?? 0) + (box?.height ?? 0)).toBe(floor)
})

test('who faces the viewer shows both shoulders and hips', () => {
  const [child] = drawing({ figures: [{ role: 'solo', faces: 'viewer' }] }, WORDS).figures
  expect(child?.broad).toBe(true)
  expect(child?.trunk).toMatch(/^M9\.9 -80\.1L-9\.9 -80\.1L-6\.[56] -51L6\.[56] -51Z$/)
})

test('a bent back is a curve through its middle', () => {
  const [child] = drawing({ figures: [{ role: 'solo', trunk: 90, back: -40 }] }, WORDS).figures
  expect(child?.trunk).toMatch(/^M[-\d. ]+Q[-\d. ]+$/)
})
