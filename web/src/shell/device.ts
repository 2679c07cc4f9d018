/** What this phone knows whoever holds it: members who have used it, who does now, its clock. */
import { openDB, type DBSchema } from 'idb'
import type { Member } from './phone'

interface Choices {
  /** The member whose rows this phone is writing. */
  current: string | null
  /** With what was signed in last; nothing after somebody has signed out. */
  last_email: string
  clock_offset_ms: number
  /** Somebody has signed out without a signal: the server is to be told before all else. */
  sign_out_due: boolean
}

interface Tables extends DBSchema {
  members: { key: string; value: Member }
  choices: { key: string; value: unknown }
}

export interface Device {
  members(): Promise<Member[]>
  remember(members: readonly Member[]): Promise<void>
  get<Name extends keyof Choices>(name: Name): Promise<Choices[Name] | undefined>
  set<Name extends keyof Choices>(name: Name, value: Choices[Name]): Promise<void>
}

const VERSION = 1

export async function openDevice(): Promise<Device> {
  const db = await openDB<Tables>('counterpoise-device', VERSION, {
    upgrade(made) {
      made.createObjectStore('members', { keyPath: 'member' })
      made.createObjectStore('choices')
    },
  })
  const strict = { durability: 'strict' } as const
  return {
    members: () => db.getAll('members'),
    async remember(members) {
      const writing = db.transaction('members', 'readwrite', strict)
      await Promise.all([...members.map((one) => writing.store.put(one)), writing.done])
    },
    get: (name) => db.get('choices', name) as Promise<never>,
    async set(name, value) {
      const writing = db.transaction('choices', 'readwrite', strict)
      await Promise.all([writing.store.put(value, name), writing.done])
    },
  }
}
