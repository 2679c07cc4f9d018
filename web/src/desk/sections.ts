/** What there is at the desk, for whom: the routes refuse it to others all the same. */
import { hasDesk, type Member } from '../shell/phone'
import { href } from '../shell/routes'
import { atDesk } from '../words/at-desk'

export interface Section {
  readonly href: string
  readonly text: string
  readonly about: string
}

/** Stands in an address for the number of the newest edition in use. */
const IN_USE = 'in-use'

/** None for an assistant. */
export function sections(role: Member['role']): Section[] {
  if (!hasDesk(role)) return []
  const { classes, comparison, curriculum, files, held, map, staff, school } = atDesk
  const all = [
    { href: href('classes'), text: classes.title, about: classes.about },
    { href: href('curriculum'), text: curriculum.title, about: curriculum.about },
    { href: href('editionMap', { edition: IN_USE }), text: map.title, about: map.about },
    { href: href('staff'), text: staff.title, about: staff.about },
    { href: href('files'), text: files.title, about: files.about },
  ]
  if (role !== 'head_teacher') return all
  return [
    ...all,
    { href: href('comparison'), text: comparison.title, about: comparison.about },
    { href: href('held'), text: held.title, about: held.about },
    { href: href('school'), text: school.title, about: school.about },
  ]
}
