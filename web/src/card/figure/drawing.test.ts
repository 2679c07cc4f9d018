import { describe, expect, test } from 'vitest'
import { drawing, type Drawing } from './drawing'
import type { Written } from './figures'

const WORDS = { base: 'base', flyer: 'flyer', partner: 'partner', spotter: 'spotter' }

const SEAT: Written = {
  figures: [
    { role: 'base', shoulder: 73, hip: 73, knee: 90, on: { hands: 'floor', knees: 'floor' } },
    { role: 'flyer', faces: 'left', hip: 90, knee: 90, on: { hips: 'base.hips' } },
    { role: 'spotter', x: -0.6 },
  ],
}

function strokes({ figures }: Drawing, wanted: string): string[] {
  return (figures[0]?.strokes ?? []).filter(({ kind }) => kind === wanted).map(({ path }) => path)
}

describe('a child who stands', () => {
  const drawn = drawing({ figures: [{ role: 'solo' }] }, WORDS)

  test('is a hundred high, from the soles to the top of the head', () => {
    const ring = 'M-6.5 -93.5a6.5 6.5 0 1 0 13 0a6.5 6.5 0 1 0 -13 0'
    expect(strokes(drawn, 'ink head')).toEqual([ring])
    const leg = 'M0 -51L0 -28.2L0 -2.9L-3.5 0L10.5 0L0 -2.9'
    expect(strokes(drawn, 'ink ')).toEqual([leg, 'M0 -80.1L0 -64.1L0 -48.8'])
  })

  test('stands on the floor, half a limb below her middle line', () => {
    expect(drawn.ground).toBe('M-76.5 3h160')
  })

  test('has limbs set off from her trunk, but for where they grow out of it', () => {
    const [leg] = strokes(drawn, 'gap')
    expect(leg).toMatch(/^M0 -41\.9L0 -28\.2L/)
  })

  test('is drawn full: nothing hollows her', () => {
    expect(drawn.figures[0]?.strokes.filter(({ kind }) => kind.startsWith('core'))).toEqual([])
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

  test('of a line every second is hollow', () => {
    const { figures } = drawing(
      { figures: [{ role: 'back' }, { role: 'middle', x: 1 }, { role: 'front', x: 2 }] },
      WORDS,
    )
    expect(figures.map(({ style }) => style)).toEqual(['full', 'hollow', 'full'])
  })

  test('without a word have no label', () => {
    expect(drawing(SEAT, { flyer: 'flyer' }).labels.map(({ word }) => word)).toEqual(['flyer'])
  })
})

test('no word lies on another or in the floor, and all are in the frame', () => {
  const { labels, view } = drawing(SEAT, WORDS)
  labels.forEach(({ corners: [[left, top], [right, bottom]] }, index) => {
    expect(bottom).toBeLessThanOrEqual(0)
    expect(Math.min(left - view.x, top - view.y, view.x + view.width - right)).toBeGreaterThan(0)
    for (const { corners: other } of labels.slice(index + 1)) {
      const [[otherLeft, otherTop], [otherRight, otherBottom]] = other
      const across = left < otherRight && right > otherLeft
      expect(across && top < otherBottom && bottom > otherTop).toBe(false)
    }
  })
})

test('a word stands beyond its head, and beside it where another is in the way', () => {
  const { labels } = drawing(
    { figures: [{ role: 'base' }, { role: 'flyer', size: 1, on: { feet: 'base.head' } }] },
    WORDS,
  )
  const [base, flyer] = labels
  expect(flyer?.x).toBe(0)
  expect(flyer?.y).toBeLessThan(-200)
  expect(Math.abs(base?.x ?? 0)).toBeGreaterThan(6.5)
})

test('a box stands on the floor', () => {
  const pose: Written = {
    figures: [{ role: 'solo' }],
    box: { x: 1, width: 0.4, height: 0.25 },
  }
  expect(drawing(pose, WORDS).ground).toBe('M-23.2 3h160M80 3L80 -22L120 -22L120 3')
})

test('who faces the viewer shows both shoulders and hips', () => {
  const drawn = drawing({ figures: [{ role: 'solo', faces: 'viewer' }] }, WORDS)
  const corners = /^M9\.9 -80\.1L-9\.9 -80\.1L-6\.[56] -51L6\.[56] -51Z$/
  expect(strokes(drawn, 'ink trunk broad')[0]).toMatch(corners)
})

test('a bent back is a curve through its middle', () => {
  const drawn = drawing({ figures: [{ role: 'solo', trunk: 90, back: -40 }] }, WORDS)
  expect(strokes(drawn, 'ink trunk')[0]).toMatch(/^M[-\d. ]+Q[-\d. ]+$/)
})
