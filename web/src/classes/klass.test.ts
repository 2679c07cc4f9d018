import { expect, test } from 'vitest'
import { changes } from '../desk/said'
import {
  childFields,
  childSaid,
  isOver,
  klassFields,
  klassSaid,
  weekly,
  type Klass,
  type Studio,
} from './klass'

const STUDIOS = ['a', 'b'].map((id) => ({ id, name: id })) as Studio[]

function klass(id: string, weekday: Klass['weekday'], starts: string, studio = 'a'): Klass {
  return { id, name: id, studio, weekday, starts, minutes: 45, until: null }
}

test('a class is over after its last day, not on it', () => {
  const one = klass('1', 'Tuesday', '17:00')
  const days = ['2026-03-19', '2026-03-20', '2026-03-21']
  const told = days.map((until) => isOver({ ...one, until }, '2026-03-20'))
  expect([...told, isOver(one, '2026-03-20')]).toEqual([true, false, false, false])
})

test('an untouched form changes nothing', () => {
  const one = klass('1', 'Tuesday', '17:00')
  const { id: _, until: _until, ...rest } = one
  expect(klassSaid(klassFields(one, STUDIOS))).toEqual(rest)
  expect(changes(klassSaid(klassFields(one, STUDIOS)), rest)).toEqual({})
})

test('classes stand in the order of the week, where there are any', () => {
  const rows = [
    klass('late', 'Monday', '17:30'),
    klass('sun', 'Sunday', '09:00'),
    klass('early', 'Monday', '09:00'),
  ]
  expect(weekly(rows, STUDIOS)).toEqual([
    { studio: STUDIOS[0], classes: [rows[2], rows[0], rows[1]] },
  ])
})

test('of a new child what was left open is not said', () => {
  const fields = { ...childFields('2026-05-01'), given_name: 'Ilse', birth_year: '2016' }
  expect(childSaid(fields, 'k', 'metric')).toEqual({
    given_name: 'Ilse',
    class: 'k',
    birth_year: 2016,
    from: '2026-05-01',
    trial: false,
  })
  expect(childSaid({ ...fields, height: '50', birth_month: '3' }, 'k', 'imperial')).toMatchObject({
    height_cm: 127,
    birth_month: 3,
  })
})
