import { expect, test } from 'vitest'
import { words } from '../words/words'
import { atDesk } from '../words/at-desk'
import { byMember, notAdmitted, skillSaid, tryOf, whoSaid, type Held } from './held'

function held(id: string, member: string, other: Partial<Held> = {}): Held {
  return {
    id,
    row: { role: 'base', spot: 'hands_on', outcome: 'clean' },
    student_name: 'Sunniva',
    skill_name: 'Chest rest',
    on: '2026-03-10',
    reason: 'after_end',
    member,
    member_name: `Member ${member}`,
    sent_by: member,
    sent_by_name: `Member ${member}`,
    received_at: '2026-03-10T17:05:00Z',
    ...other,
  }
}

test('tries stand under who logged them, hers by day and child', () => {
  const later = held('3', 'a', { on: '2026-03-12', student_name: 'Amara' })
  const rows = [later, held('2', 'b'), held('4', 'a'), held('1', 'a', { student_name: 'Élodie' })]
  const told = byMember(rows).map(({ name, rows }) => [name, rows.map((one) => one.id)])
  expect(told).toEqual([
    ['Member a', ['1', '4', '3']],
    ['Member b', ['2']],
  ])
})

test('what is not known of a row is said so, and nothing is made up', () => {
  const gone = held('1', 'a', { row: {}, student_name: null, skill_name: null, on: null })
  const { nobody, noSkill, unreadable } = atDesk.held
  expect([whoSaid(gone), skillSaid(gone), tryOf(gone)]).toEqual([nobody, noSkill, unreadable])
  expect(tryOf(held('1', 'a'))).toBe('base, clean, hands on')
})

test('why one was not admitted is said with whose it is', () => {
  const one = held('1', 'a')
  expect(notAdmitted(one, { id: '1', status: 'already_stored' })).toBeNull()
  expect(notAdmitted(one, { id: '1', status: 'refused', code: 'id_reused', pointer: '/id' })).toBe(
    atDesk.held.not('Sunniva', 'Chest rest', words.rows.why.id_reused!),
  )
})
