/** The least that must change in groups as they were formed. */

import { words } from '../words/words'
import { check, classStops } from './check'
import { allOf, type CarriedOn, studentsOf } from './formed'
import { placesOf } from './problem'
import { placedIn, regrouped } from './regroup'
import { Table } from './table'
import type { Change, Formed, LeastChange, Tonight } from './tonight'

const said = words.regroup

/** What only asks stays as it was formed. Those who were formed change among themselves; only where
 * that leaves one of them over the others come in. */
export const leastChange: LeastChange = (tonight, groups) => {
  const { stops, groups: checked } = check(tonight, groups)
  const stopped = stops.length > 0 || checked.some((group) => group.stops.length)
  if (!stopped || classStops(tonight).length) return null
  const after = mended(tonight, new Table(tonight.table), groups)
  return { changes: changesOf(tonight, groups, after), groups: allOf(after) }
}

export function mended(tonight: Tonight, table: Table, groups: readonly Formed[]): CarriedOn {
  const asked = new Set(groups.flatMap(studentsOf))
  const own = new Set(
    placesOf(
      table,
      tonight.here.filter((id) => asked.has(id)),
    ),
  )
  const among = regrouped(tonight, table, groups, own)
  const { after } =
    placedIn(among.groups).length < own.size ? regrouped(tonight, table, groups) : among
  return {
    became: after.became,
    fresh: after.fresh.filter((group) => studentsOf(group).some((id) => asked.has(id))),
  }
}

/** In words, group by group; `groups` are as they were. */
export function changesOf(
  tonight: Tonight,
  groups: readonly Formed[],
  after: CarriedOn,
): Change[] {
  const names = (ids: readonly string[]) => ids.map((id) => tonight.names.get(id) ?? said.left)
  const changes: Change[] = []
  groups.forEach((old, index) => {
    const group = index + 1
    const fresh = after.became[index]
    if (fresh) changes.push(...changesOfGroup(group, old, fresh, names))
    else changes.push(change(group, said.goneGroup(group), null, [], studentsOf(old)))
  })
  after.fresh.forEach((fresh, index) => {
    const group = groups.length + index + 1
    const roles = Object.entries(fresh.seats).map(([role, held]) =>
      said.inRole(role, names(held)),
    )
    changes.push(change(group, said.newGroup(group, roles), null, studentsOf(fresh), []))
  })
  const placed = new Set(allOf(after).flatMap(studentsOf))
  const asked = new Set(groups.flatMap(studentsOf))
  const over = tonight.here.filter((id) => asked.has(id) && !placed.has(id))
  if (over.length) changes.push(change(null, said.leftOver(names(over)), null, [], over))
  return changes
}

function* changesOfGroup(
  group: number,
  old: Formed,
  fresh: Formed,
  names: (ids: readonly string[]) => string[],
): Generator<Change> {
  for (const role of new Set([...Object.keys(old.seats), ...Object.keys(fresh.seats)])) {
    const [was, is] = [old.seats[role] ?? [], fresh.seats[role] ?? []]
    const comes = is.filter((id) => !was.includes(id))
    const goes = was.filter((id) => !is.includes(id))
    if (!comes.length && !goes.length) continue
    const [come, go] = [names(comes), names(goes)]
    const sentence = !goes.length
      ? said.comes(group, role, come)
      : !comes.length
        ? said.goes(group, role, go)
        : said.instead(group, role, come, go)
    yield change(group, sentence, role, comes, goes)
  }
}

const change = (
  group: number | null,
  sentence: string,
  role: string | null,
  comes: string[],
  goes: string[],
): Change => ({ group, sentence, role, comes, goes })
