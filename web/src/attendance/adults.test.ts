import { expect, test } from 'vitest'
import type { Member } from '../staff/standing'
import { offered, turned } from './adults'

const ON = '2026-12-01'

function member(id: string, other: Partial<Member> = {}): Member {
  return {
    id,
    name: id,
    role: 'teacher',
    adult: true,
    studios: [],
    may_spot: ['all'],
    from_date: null,
    until: null,
    revoked_at: null,
    ...other,
  }
}

const STAFF = [
  member('me'),
  member('here'),
  member('last day', { until: ON }),
  member('ended', { until: '2026-11-30' }),
  member('later', { from_date: '2026-12-02' }),
  member('revoked', { revoked_at: '2026-11-20T10:00:00Z' }),
  member('minor', { adult: false }),
  member('spots nothing', { may_spot: [] }),
]

test('only adults who may spot, and whose access holds on the day, are offered', () => {
  expect(offered(STAFF, ON, 'me').map((one) => one.id)).toEqual(['here', 'last day'])
})

test('to name one more or one less takes out whose access has ended', () => {
  expect(turned(['ended', 'here'], 'last day', STAFF, ON)).toEqual(['here', 'last day'])
  expect(turned(['here', 'last day'], 'here', STAFF, ON)).toEqual(['last day'])
  // Not read yet who is of the staff: nobody is taken out.
  expect(turned(['ended'], 'here', [], ON)).toEqual(['ended', 'here'])
})
