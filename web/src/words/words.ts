/**
 * Every text that a person reads. Another language is another folder of the same shape, chosen
 * here; texts with something in them are functions, so that its word order is its own. Those of
 * the desk stand in `at-desk.ts`.
 */
import { attendance } from './en/attendance'
import { card } from './en/card'
import { child } from './en/child'
import { end } from './en/end'
import { fall } from './en/fall'
import { figure } from './en/figure'
import { groups } from './en/groups'
import { lesson } from './en/lesson'
import { mat } from './en/mat'
import { regroup } from './en/regroup'
import { rows } from './en/rows'
import { settings } from './en/settings'
import { shell } from './en/shell'
import { signin } from './en/signin'
import { sync } from './en/sync'
import { timer } from './en/timer'
import { today } from './en/today'

export const words = {
  attendance,
  card,
  child,
  end,
  fall,
  figure,
  groups,
  lesson,
  mat,
  regroup,
  rows,
  settings,
  shell,
  signin,
  sync,
  timer,
  today,
}
