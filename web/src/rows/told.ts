/** Rows in words: what each is, and why the server has not taken it. */
import { href } from '../shell/routes'
import type { Bodies, Row } from '../store/row'
import { words } from '../words/words'
import type { Names } from './names'

export interface Told {
  readonly what: string
  readonly more: string
}

export function told(row: Row, names: Names): Told {
  const said = words.rows
  const child = (id: string) => names.children.get(id) ?? said.child
  const skill = (id: string) => names.skills.get(id)?.name ?? said.skill
  switch (row.kind) {
    case 'attempts': {
      const { body } = row
      return { what: said.attempt(skill(body.skill_id), child(body.student)), more: tried(body) }
    }
    case 'students':
      return {
        what: said.trial([row.body.given_name, row.body.initial].filter(Boolean).join(' ')),
        more: '',
      }
    case 'attendance': {
      const state = words.attendance.state[row.body.state]
      return { what: said.attendance(child(row.body.student), state), more: '' }
    }
    case 'falls': {
      const { body } = row
      const more = [words.fall.kinds[body.kind], words.fall.phases[body.phase]]
      return { what: said.fall(skill(body.skill_id), child(body.student)), more: more.join(', ') }
    }
    case 'groups':
      return { what: said.groups(skill(row.body.skill_id)), more: '' }
    case 'lesson': {
      const fields = Object.keys(row.body.said) as (keyof typeof said.said)[]
      return { what: said.lesson, more: fields.map((field) => said.said[field]).join(', ') }
    }
  }
}

/** In which role, how it went, and with what help. */
export function tried(body: Bodies['attempts']): string {
  const more = [words.shell.role[body.role], outcome(body)]
  if (body.outcome !== 'removed') more.push(words.shell.spot[body.spot])
  return more.join(', ')
}

function outcome({ outcome, measure }: Bodies['attempts']): string {
  if (outcome === 'removed') return words.rows.takenBack
  const text = words.shell.outcome[outcome]
  return measure == null ? text : words.rows.measured(text, measure)
}

export function why({ code, pointer }: Pick<Row, 'code' | 'pointer'>): string {
  const field = pointer?.split('/').at(-1) ?? ''
  const said = words.rows.why
  return said[`${code}_${field}`] ?? said[code ?? ''] ?? words.rows.otherwise(code ?? '')
}

/** Where a person can enter it anew; null where that is done in the row itself. */
export function placeOf(row: Row, names: Names): string | null {
  const { lesson } = row
  if (row.kind === 'students') return null
  if (row.kind === 'attendance' || row.kind === 'lesson') return href('here', { lesson })
  const skill = names.skills.get(row.body.skill_id)?.key
  if (row.kind === 'groups')
    return skill ? href('group', { lesson, skill }) : href('groups', { lesson })
  return skill ? href('station', { lesson, skill }) : href('mat', { lesson })
}
