/** The member's database on this phone. Newer builds only ever add to it: see `released.json`. */
import type { DBSchema, IDBPDatabase, IDBPTransaction } from 'idb'
import { Connection, isNamed } from './connection'
import type { Kind, Row, State } from './row'
import type { Read } from './store'

interface Tables extends DBSchema {
  /** Keyed by the order in which rows were written, which no clock can turn round. */
  rows: {
    key: number
    value: Row
    indexes: { id: string; lesson: string; state_kind: [State, Kind] }
  }
  reads: { key: string; value: Read }
  choices: { key: string; value: unknown }
}

type Name = 'rows' | 'reads' | 'choices'
export type Writing = IDBPTransaction<Tables, Name[], 'readwrite'>
export type Reading = IDBPTransaction<Tables, Name[], 'readonly'>

const VERSION = 1

export function databaseName(member: string): string {
  return `counterpoise-${member}`
}

export class Database {
  readonly #connection: Connection<Tables>

  constructor(member: string) {
    this.#connection = new Connection(databaseName(member), VERSION, upgrade)
  }

  /**
   * One change of the disk: all of it or none, and only when the disk has answered. Rejects
   * otherwise; then nothing has changed.
   */
  async write<T>(names: Name[], change: (writing: Writing) => Promise<T>): Promise<T> {
    const writing = await this.#connection.begin((db) =>
      db.transaction(names, 'readwrite', { durability: 'strict' }),
    )
    try {
      const [done] = await Promise.all([change(writing), writing.done])
      return done
    } catch (error) {
      abort(writing)
      await writing.done.catch(() => {}) // it says again what `error` says
      throw error
    }
  }

  async read<T>(names: Name[], ask: (reading: Reading) => Promise<T>): Promise<T> {
    const reading = await this.#connection.begin((db) => db.transaction(names, 'readonly'))
    const [found] = await Promise.all([ask(reading), reading.done])
    return found
  }

  close(): void {
    this.#connection.close()
  }
}

function upgrade(db: IDBPDatabase<Tables>, from: number): void {
  if (from < 1) {
    const rows = db.createObjectStore('rows', { autoIncrement: true })
    rows.createIndex('id', 'id', { unique: true })
    rows.createIndex('lesson', 'lesson')
    rows.createIndex('state_kind', ['state', 'kind'])
    db.createObjectStore('reads', { keyPath: 'url' })
    db.createObjectStore('choices')
  }
}

/** What threw before the disk was asked, such as a full one, has not ended the change. */
function abort(writing: Writing): void {
  try {
    writing.abort()
  } catch (error) {
    if (!isNamed(error, 'InvalidStateError')) throw error
  }
}
