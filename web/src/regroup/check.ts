/** What stops, what asks and what is said in groups as they were formed.
 *
 * Whether it is a load, a height or a wish that stands against a set of children is in no sentence:
 * all of them ask for another child, and name none. */

import { words } from '../words/words'
import { copy, seatingOf, studentsOf } from './formed'
import { left } from './left'
import { adultsOf, groupsOnMats, groupsUnderSpot } from './problem'
import { members, type Seating, Table } from './table'
import type { Check, CheckedGroup, Formed, Found, Tonight } from './tonight'

const said = words.regroup
/** The code of a set of children who do not fit, whatever for. */
export const ANOTHER = 'another'

export const check: Check = (tonight, groups) => {
  const table = new Table(tonight.table)
  const checked = checkedGroups(tonight, table, groups)
  return {
    groups: checked,
    stops: groups.length ? commonStops(tonight, groups.length) : [],
    stillToPlace: left(tonight, table, groups),
  }
}

/** What stops the skill for everybody: as the table says it, but for what is counted here. */
export function classStops(tonight: Tonight): Found[] {
  const { table, card, room } = tonight
  const counted = { no_spotter: true, adults_in_room: room !== undefined }
  const stops = table.stops
    .filter(({ code }) => !counted[code])
    .map(({ code, sentence }) => found(code, sentence))
  // A card may have a spot, and no group that needs an adult of its own.
  const fewest = Math.max(table.adults_a_group, card.spotted ? 1 : 0)
  if (adultsOf(tonight) < fewest) stops.push(found('no_spotter', said.noSpotter))
  if (room && (card.lifted || card.spotted) && room.there < room.needed) {
    stops.push(found('adults_in_room', said.room(room.needed, room.there)))
  }
  return stops
}

export function checkedGroups(
  tonight: Tonight,
  table: Table,
  groups: readonly Formed[],
): CheckedGroup[] {
  const here = new Set(tonight.here)
  const turns = turnsOf(tonight, groups.length)
  return groups.map((group, index) => {
    const seating = seatingOf(table, here, group)
    const asks = [...asksOf(tonight, table, group, seating)]
    const forATeacher = tonight.card.lifted || asks.length > 0
    if (tonight.assistant && forATeacher) asks.push(found('look', said.look, studentsOf(group)))
    return {
      ...copy(group),
      number: index + 1,
      turn: turns[index] ?? 1,
      stops: [...stopsOf(tonight, table, group, seating)],
      asks,
      says: saysOf(tonight, group),
      forATeacher,
    }
  })
}

function commonStops(tonight: Tonight, made: number): Found[] {
  const stops = classStops(tonight)
  const onMats = groupsOnMats(tonight)
  const underSpot = groupsUnderSpot(tonight)
  if (made > onMats) stops.push(found('mats', said.mats(onMats, made)))
  if (underSpot !== null && made > underSpot && !classStops(tonight).length) {
    stops.push(found('turns', said.turns(underSpot, made)))
  }
  return stops
}

function* stopsOf(
  tonight: Tonight,
  table: Table,
  group: Formed,
  seating: Seating,
): Generator<Found> {
  for (const [role, id] of people(group)) yield* stopsOfChild(tonight, table, role, id)
  yield* stopsOfSize(tonight, group)
  if (!fitTogether(table, tonight, seating)) {
    yield found(
      ANOTHER,
      table.anotherSays,
      members(seating).map((at) => table.id(at)),
    )
  }
}

function* stopsOfChild(
  tonight: Tonight,
  table: Table,
  role: string,
  id: string,
): Generator<Found> {
  const name = tonight.names.get(id)
  const stop = (code: string, sentence: string) => found(code, sentence, [id], role)
  if (name === undefined) {
    yield stop('not_here', said.hasLeft)
    return
  }
  if (tonight.notToday?.includes(id)) yield stop('not_today', said.notToday(name))
  else if (!tonight.here.includes(id)) {
    yield stop('not_here', said.notHere(name))
    return
  }
  const at = table.place(id)
  if (at === undefined) {
    if (tonight.card.lifted) yield stop('not_known', said.newInLift(name))
    return
  }
  const held = table.held(role, at)
  if (held?.state !== 'stop') return
  for (const sentence of held.says) yield stop('stop', said.ofChild(name, sentence))
}

function* stopsOfSize({ card }: Tonight, group: Formed): Generator<Found> {
  const roles = card.roles.filter(({ role }) => role !== 'spotter')
  for (const role of new Set([...roles.map((one) => one.role), ...Object.keys(group.seats)])) {
    const { min, max } = roles.find((one) => one.role === role) ?? { min: 0, max: 0 }
    const there = group.seats[role]?.length ?? 0
    if (there < min) yield found('seats', said.more(min - there, role), [], role)
    if (there > max) yield found('seats', said.tooMany(there - max, role), [], role)
  }
}

/** A wish for two of whom one is not here does not count. */
function fitTogether(table: Table, { here }: Tonight, seating: Seating): boolean {
  const { not_with, only_with } = table.said
  const inIt = new Set(members(seating))
  const holds = (at: number) => inIt.has(at)
  return (
    table.state(seating['base'] ?? [], seating['flyer'] ?? []) !== 'stop' &&
    !not_with.some((pair) => pair.every(holds)) &&
    !only_with
      .filter((pair) => pair.every((at) => here.includes(table.id(at))))
      .some((pair) => pair.some(holds) && !pair.every(holds))
  )
}

function* asksOf(
  tonight: Tonight,
  table: Table,
  group: Formed,
  seating: Seating,
): Generator<Found> {
  const name = (id: string) => tonight.names.get(id) ?? ''
  for (const [role, id] of people(group)) {
    const at = table.place(id)
    if (at === undefined) {
      if (!tonight.card.lifted && tonight.here.includes(id)) {
        yield found('not_known', said.newHere(name(id)), [id], role)
      }
      continue
    }
    const held = seating[role]?.includes(at) ? table.held(role, at) : undefined
    if (held?.state !== 'ask') continue
    for (const sentence of held.says) yield found('ask', sentence, [id], role)
  }
  const { base = [], flyer = [] } = seating
  if (table.state(base, flyer) === 'ask') {
    for (const pair of table.toAgree(base, flyer)) {
      const [one = '', other = ''] = pair.map((at) => table.id(at))
      yield found('pair', said.pair(table.said.ask_says, name(one), name(other)), [one, other])
    }
  }
  const all = members(seating)
  const long = [...table.roles.values()].some(
    ({ role, max }) => (seating[role]?.length ?? 0) > max,
  )
  if (long || all.length > (tonight.card.learning_size ?? Infinity)) {
    yield found('line', said.line(all.length), all.map((at) => table.id(at)).sort())
  }
}

/** What the service said of a child in a role is said where she still holds it. */
function saysOf({ says = [] }: Tonight, group: Formed): Found[] {
  return says.filter(({ role, students }) =>
    role === null ? !students.length : students.every((id) => group.seats[role]?.includes(id)),
  )
}

/** Whoever spots takes the groups in turn, nobody two at once. */
function turnsOf(tonight: Tonight, groups: number): number[] {
  const each = tonight.table.adults_a_group
  const last = Array.from({ length: adultsOf(tonight) }, () => 0)
  return Array.from({ length: groups }, () => {
    last.sort((one, other) => one - other)
    const turn = 1 + Math.max(0, ...last.slice(0, each))
    last.fill(turn, 0, each)
    return turn
  })
}

const people = ({ seats }: Formed) =>
  Object.entries(seats).flatMap(([role, held]) => held.map((id) => [role, id] as const))

const found = (
  code: string,
  sentence: string,
  students: string[] = [],
  role: string | null = null,
): Found => ({
  code,
  sentence,
  students,
  role,
})
