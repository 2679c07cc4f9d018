import { beforeEach, expect, test } from 'vitest'
import type { Entry, Evening } from '../lesson/evening.svelte'
import { child, evening, proposed, tried } from '../lesson/sample'
import type { Tonight, Try } from '../lesson/tonight'
import { notices } from '../parts/notices.svelte'
import { words } from '../words/words'
import { Station, type Correction } from './station.svelte'

const WAY = { spot: 'hands_on' as const, way_in: null, way_out: null }
let full = false
let tries: Try[]
let now: Tonight
let written = 0

/** An evening whose disk is a list. */
const disk = {
  get now() {
    return { ...now, tries }
  },
  async log(entries: readonly Entry[]) {
    if (full) throw new Error('full')
    const rows = entries.map((one) =>
      tried(one.student, { ...(one as object), attempt: `attempt ${written++}` }),
    )
    tries = [...tries, ...rows]
    return rows
  },
  async correct(one: Try, change: Correction) {
    if (full) throw new Error('full')
    tries = tries.map((other) =>
      other.attempt === one.attempt ? { ...other, ...change, revision: one.revision + 1 } : other,
    )
  },
  async undo(gone: readonly Try[]) {
    tries = tries.filter((one) => !gone.some((other) => other.attempt === one.attempt))
  },
}

let station: Station

beforeEach(() => {
  full = false
  tries = []
  now = evening({ proposed: proposed({ base: ['Amara'], flyer: ['Bao'] }) })
  station = new Station(disk as unknown as Evening, 'seat')
  notices.list = []
})

function group() {
  return station.units().up.find((one) => one.seats.length === 2)!
}

function stands(): [string, string, string][] {
  return tries.map((one) => [one.student, one.outcome, one.weight])
}

const last = () => notices.list.at(-1)?.text

test('a tap on a group, one child corrected, and both taken back one after the other', async () => {
  await station.tried(group().seats, WAY, { outcome: 'not_there' }, 1000)
  expect(last()).toBe('Amara (base) and Bao (flyer): not there')
  await station.child(group().seats[1]!, WAY, 'clean', 5000)
  expect(last()).toBe('Bao: clean instead of not there')
  expect(stands()).toEqual([
    ['Amara', 'not_there', 'together'],
    ['Bao', 'clean', 'own'],
  ])
  expect(station.insteadOf(tries[1]!)).toBe('not_there')
  expect(station.last.map((one) => one.student)).toEqual(['Amara', 'Bao'])

  await station.undo()
  expect(stands()[1]).toEqual(['Bao', 'not_there', 'together'])
  expect(station.insteadOf(tries[1]!)).toBeNull()
  await station.undo()
  expect(stands()).toEqual([])
  expect(last()).toBe('Taken back')
})

test('later the same tap is a further try of her own', async () => {
  await station.tried(group().seats, WAY, { outcome: 'shaky' }, 1000)
  await station.child(group().seats[1]!, WAY, 'clean', 11_001)
  expect(stands().at(-1)).toEqual(['Bao', 'clean', 'own'])
  expect(tries).toHaveLength(3)
})

test('taps that do not wait for each other are written one after the other', async () => {
  const { seats } = group()
  await Promise.all([
    station.tried(seats, WAY, { outcome: 'shaky' }, 1000),
    station.child(seats[0]!, WAY, 'clean', 1100),
    station.undo(),
    station.undo(),
  ])
  expect(stands()).toEqual([])
})

test('what the disk has not taken is said, and there is nothing to undo', async () => {
  full = true
  await station.tried(group().seats, WAY, { outcome: 'shaky' }, 1000)
  expect(last()).toBe(words.shell.notSaved)
  expect(notices.list.at(-1)?.grave).toBe(true)
  expect(station.last).toEqual([])
})

test('a correction that was not written leaves the tap before it to undo', async () => {
  await station.tried(group().seats, WAY, { outcome: 'shaky' }, 1000)
  full = true
  await station.change(tries[0]!, { outcome: 'clean' })
  expect(last()).toBe(words.shell.notSaved)
  expect(station.insteadOf(tries[0]!)).toBeNull()
  full = false
  await station.undo()
  expect(stands()).toEqual([])
})

test('after a reload the last try of this phone can still be taken back', async () => {
  tries = [
    tried('Demba', { try_id: 'theirs', state: null }),
    tried('Amara', { try_id: 'both' }),
    tried('Bao', { try_id: 'both' }),
  ]
  await station.undo()
  expect(stands()).toEqual([['Demba', 'clean', 'own']])
  await station.undo()
  expect(stands()).toEqual([['Demba', 'clean', 'own']])
})

test('the spot is as advised until one is chosen, then for all next tries', () => {
  const unit = group()
  expect(station.way(unit, [unit]).spot).toBe(unit.spot)
  station.spot = 'none'
  expect(station.way(unit, [unit]).spot).toBe('none')
})

test('the line turns, and a latecomer joins its end', async () => {
  now = evening({ children: [child('Amara'), child('Bao')] })
  const names = () => station.units().up.map((one) => one.key)
  expect(names()).toEqual(['Amara', 'Bao'])
  await station.tried([{ child: child('Amara'), role: 'base' }], WAY, { outcome: 'clean' }, 1000)
  expect(names()).toEqual(['Bao', 'Amara'])
  now = evening({ children: [child('Aaron'), child('Amara'), child('Bao')] })
  expect(names()).toEqual(['Bao', 'Amara', 'Aaron'])
})
