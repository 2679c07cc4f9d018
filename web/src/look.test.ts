import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'

const css = readFileSync(new URL('./look.css', import.meta.url), 'utf-8')

/** The custom properties of the first block that begins with these words. */
function colours(selector: string): Record<string, string> {
  const block = css.slice(css.indexOf(selector)).split('}')[0]!
  return Object.fromEntries([...block.matchAll(/--([\w-]+): (#\w{6})/g)].map((m) => [m[1], m[2]]))
}

// Contrast ratio and relative luminance: WCAG 2.2, definitions; white on black is 21.
function contrast(a: string, b: string): number {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number]
  return (high + 0.05) / (low + 0.05)
}

function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5].map((place) => {
    const part = parseInt(colour.slice(place, place + 2), 16) / 255
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4
  }) as [number, number, number]
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

test('the formula gives the standard’s own ends', () => {
  expect(contrast('#ffffff', '#000000')).toBeCloseTo(21, 10)
  expect(contrast('#777777', '#777777')).toBe(1)
})

const LIGHTS = { light: ':root {', dark: ":root[data-light='dark'] {" }

test.each(Object.entries(LIGHTS))('in %s, words can be read and borders be seen', (_, selector) => {
  const it = colours(selector) as Record<string, string>
  for (const ground of [it.paper!, it.raised!]) {
    expect(contrast(it.ink!, ground)).toBeGreaterThanOrEqual(7)
    expect(contrast(it.soft!, ground)).toBeGreaterThanOrEqual(5)
    expect(contrast(it.accent!, ground)).toBeGreaterThanOrEqual(4.5)
    expect(contrast(it.line!, ground)).toBeGreaterThanOrEqual(3)
  }
  expect(contrast(it.ink!, it['accent-wash']!)).toBeGreaterThanOrEqual(7)
  expect(contrast(it['on-accent']!, it.accent!)).toBeGreaterThanOrEqual(4.5)
})

test('dark is the same whether the phone asks for it or a person does', () => {
  expect(colours(":root:not([data-light='light'])")).toEqual(colours(LIGHTS.dark))
})
