/** What there is at the desk, for whom: the routes refuse it to others all the same. */
import { hasDesk, type Member } from '../shell/phone'
import { href } from '../shell/routes'
import { atDesk } from '../words/at-desk'

export interface Section {
  readonly href: string
  readonly text: string
  readonly about: string
}

/** None for an assistant. */
export function sections(role: Member['role']): Section[] {
  if (!hasDesk(role)) return []
  const all = [{ href: href('staff'), text: atDesk.staff.title, about: atDesk.staff.about }]
  if (role !== 'head_teacher') return all
  return [...all, { href: href('school'), text: atDesk.school.title, about: atDesk.school.about }]
}
