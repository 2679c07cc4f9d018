import { expect, test } from 'vitest'
import { href, placeOf, ROUTES } from './routes'

test('each address leads to its own page', () => {
  for (const [name, pattern] of Object.entries(ROUTES)) {
    expect(placeOf(pattern.replace(/:(\w+)/g, 'one-$1'))?.name).toBe(name)
  }
})

test('what is in an address comes back as it was', () => {
  const path = href('station', { lesson: '1', skill: 'a b/ü' })
  expect(path).toBe('/lessons/1/mat/a%20b%2F%C3%BC')
  expect(placeOf(path)).toEqual({ name: 'station', params: { lesson: '1', skill: 'a b/ü' } })
})

test.each(['/lessons/', '/lessons', '/nowhere', '/lessons/1/mat/%E0%A4%A', '/lessons/1/mat/'])(
  'no page stands at %s',
  (path) => {
    expect(placeOf(path)).toBeNull()
  },
)
