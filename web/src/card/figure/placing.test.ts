import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { ANKLE, BROAD, FOREARM, HEAD, LIMB, SHANK, THIGH, TRUNK, UPPER_ARM } from './body'
import { poseOf, type Written } from './figures'
import { jointsOf, point, type Body, type Joints } from './joints'
import { placed } from './placing'

const ARM = UPPER_ARM + FOREARM
const LEG = THIGH + SHANK

function bodies(...figures: Written['figures']): Body[] {
  return placed(poseOf({ figures }))
}

function one(...figures: Written['figures']): Joints {
  const [body] = bodies(...figures)
  if (!body) throw new Error('nobody')
  return jointsOf(body)
}

function near([x, y]: readonly number[]): unknown[] {
  return [expect.closeTo(x ?? NaN, 12), expect.closeTo(y ?? NaN, 12)]
}

describe('one figure', () => {
  test('who stands straight is as tall as her stature', () => {
    const child = one({ role: 'solo', x: 2 })
    expect(child.head).toEqual(near([2, 1 - HEAD]))
    expect(child.legs[0][2]).toEqual(near([2, ANKLE]))
    expect(child.legs[0][3][1]).toBeCloseTo(0, 12)
  })

  test('a flyer is smaller and an adult who spots taller', () => {
    expect(one({ role: 'flyer' }).head[1]).toBeCloseTo(0.9 * (1 - HEAD), 12)
    expect(one({ role: 'spotter' }).head[1]).toBeCloseTo(1.2 * (1 - HEAD), 12)
  })

  test('who sits with legs long has them on the floor', () => {
    const child = one({ role: 'solo', hip: 90, shoulder: 90 })
    expect(child.hips).toEqual(near([0, BROAD - LIMB]))
    expect(child.legs[0][2]).toEqual(near([LEG, BROAD - LIMB]))
    expect(child.shoulders).toEqual(near([0, BROAD - LIMB + TRUNK]))
  })

  test('a plank leans as its right-angled triangle says', () => {
    const [body] = bodies({ role: 'solo', shoulder: 90, on: { hands: 'floor', insteps: 'floor' } })
    expect(90 - (body?.turn ?? 0)).toBeCloseTo((Math.atan(ARM / (LEG + TRUNK)) * 180) / Math.PI, 9)
  })
})

test('who is carried rests on top of what carries', () => {
  const [base, flyer] = bodies(
    { role: 'base', shoulder: 73, hip: 73, knee: 90, on: { hands: 'floor', knees: 'floor' } },
    { role: 'flyer', hip: 90, on: { hips: 'base.hips' } },
  )
  if (!base || !flyer) throw new Error('nobody')
  const [x, y] = point(base, 'hips')
  expect(point(flyer, 'hips')).toEqual(near([x, y + 2 * BROAD]))
})

test('two who reach for each other meet', () => {
  const [left, right] = bodies(
    { role: 'partner', x: -0.2, reach: { hands: 'partner_2.hands' } },
    { role: 'partner', x: 0.2, faces: 'left', reach: { hands: 'partner.hands' } },
  )
  if (!left || !right) throw new Error('nobody')
  expect(point(left, 'hands')).toEqual(near([0, ANKLE + LEG + TRUNK]))
  expect(point(right, 'hands')).toEqual(near(point(left, 'hands')))
})

interface Kept {
  readonly skill: string
  readonly pose: Written
  /** Per figure head, shoulders, back, hips, then arms and legs. */
  readonly joints: readonly (readonly number[])[]
}

/** What the server's own placing of the demo's cards has answered. */
const KEPT = readFileSync('../tests/demo/golden/poses.jsonl', 'utf8')
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line) as Kept)

test.each(KEPT)('$skill is placed as the server places it', ({ pose, joints }) => {
  const found = placed(poseOf(pose)).map((body) => {
    const { head, shoulders, back, hips, arms, legs } = jointsOf(body)
    return [head, shoulders, back, hips, ...arms.flat(), ...legs.flat()].flat()
  })
  expect(found).toEqual(joints.map((row) => row.map((value) => expect.closeTo(value, 4))))
})
