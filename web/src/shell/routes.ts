/** Paths are shareable; what follows a colon is an id or a key. Beside the mat: */
const MAT = {
  today: '/',
  signIn: '/sign-in',
  invitation: '/invitation',
  rows: '/rows',
  settings: '/settings',
  here: '/lessons/:lesson',
  mat: '/lessons/:lesson/mat',
  station: '/lessons/:lesson/mat/:skill',
  hold: '/lessons/:lesson/hold/:skill',
  summary: '/lessons/:lesson/summary/:skill',
  groups: '/lessons/:lesson/groups',
  group: '/lessons/:lesson/groups/:skill',
  cards: '/lessons/:lesson/cards',
  card: '/lessons/:lesson/cards/:skill',
  children: '/lessons/:lesson/children',
  child: '/lessons/:lesson/children/:student',
  end: '/lessons/:lesson/end',
} as const

/** At the desk: read with a signal alone. */
export const DESK = {
  desk: '/desk',
  school: '/school',
  comparison: '/studios',
  staff: '/staff',
  colleague: '/staff/:colleague',
  classes: '/classes',
  klass: '/classes/:klass',
  roster: '/classes/:klass/children',
  classMap: '/classes/:klass/map',
  progress: '/classes/:klass/progress',
  record: '/children/:student',
  studentMap: '/children/:student/map',
  path: '/children/:student/path',
  files: '/files',
  held: '/held',
  curriculum: '/curriculum',
  editionMap: '/curriculum/editions/:edition/map',
  draft: '/curriculum/drafts/:draft',
  draftMap: '/curriculum/drafts/:draft/map',
  draftCard: '/curriculum/drafts/:draft/cards/:skill',
  publishing: '/curriculum/drafts/:draft/publishing',
} as const

/** Every page of the client. */
export const ROUTES = { ...MAT, ...DESK }

export type RouteName = keyof typeof ROUTES
type Names<Path extends string> = Path extends `${string}:${infer Name}/${infer Rest}`
  ? Name | Names<`/${Rest}`>
  : Path extends `${string}:${infer Name}`
    ? Name
    : never
export type Params<Name extends RouteName> = Record<Names<(typeof ROUTES)[Name]>, string>

export interface Place {
  readonly name: RouteName
  readonly params: Readonly<Record<string, string>>
}

/** The address of a page. */
export function href<Name extends RouteName>(
  name: Name,
  ...[params]: Names<(typeof ROUTES)[Name]> extends never ? [] : [Params<Name>]
): string {
  const given = (params ?? {}) as Record<string, string>
  return ROUTES[name].replace(/:(\w+)/g, (_, key: string) => encodeURIComponent(given[key]!))
}

/** The page at an address, or null where there is none. */
export function placeOf(path: string): Place | null {
  for (const [name, pattern] of Object.entries(ROUTES)) {
    const found = matched(pattern.split('/'), path.split('/'))
    if (found) return { name: name as RouteName, params: found }
  }
  return null
}

function matched(pattern: string[], path: string[]): Record<string, string> | null {
  if (pattern.length !== path.length) return null
  const params: Record<string, string> = {}
  for (const [place, part] of pattern.entries()) {
    const said = path[place]!
    if (!part.startsWith(':')) {
      if (part !== said) return null
      continue
    }
    if (!said) return null
    try {
      params[part.slice(1)] = decodeURIComponent(said)
    } catch {
      return null // a broken escape is no page of ours
    }
  }
  return params
}
