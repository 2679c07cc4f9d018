/** What this phone knows whoever holds it: members who have used it, who does now, its clock. */
import type { DBSchema, IDBPDatabase } from 'idb'
import { Connection } from '../store/connection'
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

type Table = 'members' | 'choices'

export interface Device {
  members(): Promise<Member[]>
  remember(members: readonly Member[]): Promise<void>
  get<Name extends keyof Choices>(name: Name): Promise<Choices[Name] | undefined>
  set<Name extends keyof Choices>(name: Name, value: Choices[Name]): Promise<void>
}

const VERSION = 1

export async function openDevice(): Promise<Device> {
  const connection = new Connection<Tables>('counterpoise-device', VERSION, upgrade)
  await connection.begin(() => {}) // a browser that keeps nothing says so here
  const reading = <T extends Table>(table: T) => connection.begin((db) => db.transaction(table))
  const writing = <T extends Table>(table: T) =>
    connection.begin((db) => db.transaction(table, 'readwrite', { durability: 'strict' }))
  return {
    members: async () => (await reading('members')).store.getAll(),
    async remember(members) {
      const { store, done } = await writing('members')
      await Promise.all([...members.map((one) => store.put(one)), done])
    },
    get: async (name) => (await reading('choices')).store.get(name) as never,
    async set(name, value) {
      const { store, done } = await writing('choices')
      await Promise.all([store.put(value, name), done])
    },
  }
}

function upgrade(db: IDBPDatabase<Tables>): void {
  db.createObjectStore('members', { keyPath: 'member' })
  db.createObjectStore('choices')
}
