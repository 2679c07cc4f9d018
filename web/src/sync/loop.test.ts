import { beforeEach, expect, test } from 'vitest'
import { Loop, type Standing } from './loop'
import type { Ended } from './sender'

const DONE: Ended = { is: 'done' }
const LATER: Ended = { is: 'later', wait_ms: null }

/** Drains end when and how a test says; time passes when a test says. */
class Stage {
  readonly drains: ((ended: Ended | Error) => void)[] = []
  readonly standings: Standing[] = []
  readonly broken: unknown[] = []
  timers: { ms: number; run: () => void }[] = []
  readonly loop = new Loop({
    drain: () =>
      new Promise((resolve, reject) =>
        this.drains.push((ended) => (ended instanceof Error ? reject(ended) : resolve(ended))),
      ),
    locked: (run) => run(),
    standing: (standing) => this.standings.push(standing),
    broke: (error) => this.broken.push(error),
    chance: () => 1,
    after: (ms, run) => {
      const timer = { ms, run }
      this.timers.push(timer)
      return () => (this.timers = this.timers.filter((one) => one !== timer))
    },
  })

  async end(ended: Ended | Error): Promise<void> {
    this.drains.shift()!(ended)
    await new Promise((resolve) => setTimeout(resolve))
  }

  get waits(): number[] {
    return this.timers.map(({ ms }) => ms)
  }

  pass(): void {
    this.timers.shift()!.run()
  }
}

let stage: Stage
beforeEach(() => {
  stage = new Stage()
})

test('a tap is sent at once', async () => {
  stage.loop.poke()
  expect(stage.standings).toEqual(['sending'])
  await stage.end(DONE)
  expect(stage.standings).toEqual(['sending', 'idle'])
  expect(stage.waits).toEqual([])
})

test('taps while it sends are one more round, not several', async () => {
  stage.loop.poke()
  stage.loop.poke()
  stage.loop.poke()
  expect(stage.drains).toHaveLength(1)
  await stage.end(DONE)
  expect(stage.drains).toHaveLength(1)
  await stage.end(DONE)
  expect(stage.drains).toHaveLength(0)
  expect(stage.standings).toEqual(['sending', 'idle'])
})

test('where nobody answers the waits grow, and a tap does not shorten them', async () => {
  stage.loop.poke()
  await stage.end(LATER)
  expect(stage.standings.at(-1)).toBe('waiting')
  stage.loop.poke()
  expect(stage.drains).toHaveLength(0)
  expect(stage.waits).toEqual([2_000])
  stage.pass()
  await stage.end(LATER)
  expect(stage.waits).toEqual([4_000])
  stage.pass()
  await stage.end(DONE)
  stage.loop.poke()
  await stage.end(LATER)
  expect(stage.waits).toEqual([2_000])
})

test('a signal, a look at the phone and “send now” do', async () => {
  for (const ask of [() => stage.loop.wake(), () => void stage.loop.now()]) {
    stage.loop.poke()
    await stage.end(LATER)
    ask()
    expect(stage.waits).toEqual([])
    await stage.end(LATER)
    expect(stage.waits).toEqual([2_000])
    stage.pass()
    await stage.end(DONE)
  }
})

test('the wait that the server asks for is only cut short by a person', async () => {
  stage.loop.poke()
  await stage.end({ is: 'later', wait_ms: 9_000 })
  expect(stage.waits).toEqual([9_000])
  stage.loop.wake()
  expect(stage.drains).toHaveLength(0)
  void stage.loop.now()
  expect(stage.drains).toHaveLength(1)
})

test.each(['signed_out', 'other_member', 'update'] as const)(
  'after %s taps are only kept, until somebody signs in or looks again',
  async (is) => {
    stage.loop.poke()
    await stage.end({ is })
    expect(stage.standings.at(-1)).toBe(is)
    stage.loop.poke()
    expect([stage.drains.length, stage.waits.length]).toEqual([0, 0])
    stage.loop.wake()
    await stage.end(DONE)
    expect(stage.standings.at(-1)).toBe('idle')
    stage.loop.poke()
    expect(stage.drains).toHaveLength(1)
  },
)

test('“send now” resolves when it is known what became of a round of its own', async () => {
  stage.loop.poke()
  let known = false
  void stage.loop.now().then(() => (known = true))
  await stage.end(DONE)
  expect(known).toBe(false)
  await stage.end(DONE)
  expect(known).toBe(true)
})

test('a disk that fails is told, and tried again', async () => {
  stage.loop.poke()
  const error = new Error('disk')
  await stage.end(error)
  expect(stage.broken).toEqual([error])
  expect(stage.waits).toEqual([2_000])
})

test('what was closed does nothing any more', async () => {
  stage.loop.poke()
  stage.loop.close()
  await stage.end(LATER)
  expect(stage.waits).toEqual([])
  await stage.loop.now()
  expect(stage.drains).toHaveLength(0)
})

test('a tap after it was closed sends nothing', async () => {
  stage.loop.poke()
  await stage.end(DONE)
  stage.loop.close()
  stage.loop.poke()
  expect(stage.drains).toHaveLength(0)
})

test('however long the server asks to wait, it is asked again within the hour', async () => {
  stage.loop.poke()
  await stage.end({ is: 'later', wait_ms: 2 * 24 * 3_600_000 })
  expect(stage.waits).toEqual([3_600_000])
})
