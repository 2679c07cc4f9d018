import { expect, test } from 'vitest'
import { hasDesk } from '../shell/phone'
import { placeOf } from '../shell/routes'
import { sections } from './sections'

const ROLES = ['head_teacher', 'teacher', 'assistant'] as const

test.each(ROLES)('a %s is led to the desk where there is something for her', (role) => {
  const shown = sections(role)
  expect(shown.length > 0).toBe(hasDesk(role))
  for (const { href } of shown) expect(placeOf(href)).not.toBeNull()
})
