import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { ticking } from './ticks'

beforeEach(() => vi.useFakeTimers())
afterEach(() => vi.useRealTimers())

/** A sound card whose clock is set by hand. */
function soundCard() {
  const planned: number[] = []
  const param = { value: 0, setValueAtTime: () => {}, linearRampToValueAtTime: () => {} }
  const node = { connect: (next: object) => next, gain: param, frequency: param }
  const audio = {
    currentTime: 10,
    destination: {},
    closed: false,
    createGain: () => node,
    createOscillator: () => ({ ...node, start: (at: number) => planned.push(at), stop: () => {} }),
    close: async () => void (audio.closed = true),
  }
  return { audio, planned }
}

test('ticks are planned ahead, a second apart by the clock of the sound', () => {
  const { audio, planned } = soundCard()
  const silence = ticking(audio as unknown as AudioContext)
  expect(planned).toEqual([11])
  audio.currentTime = 13.2
  vi.advanceTimersByTime(400)
  expect(planned).toEqual([11, 12, 13, 14])
  silence()
  expect(audio.closed).toBe(true)
  audio.currentTime = 20
  vi.advanceTimersByTime(4000)
  expect(planned).toEqual([11, 12, 13, 14])
})
