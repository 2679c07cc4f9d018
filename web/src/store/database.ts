/** The member's database on this phone. Newer builds only ever add to it: see `released.json`. */
import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction } from 'idb'
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
  readonly #name: string
  #open: Promise<IDBPDatabase<Tables>> | null = null

  constructor(member: string) {
    this.#name = databaseName(member)
  }

  /**
   * One change of the disk: all of it or none, and only when the disk has answered. Rejects
   * otherwise; then nothing has changed.
   */
  async write<T>(names: Name[], change: (writing: Writing) => Promise<T>): Promise<T> {
    const options = { durability: 'strict' } as const
    const writing = await this.#begin((db) => db.transaction(names, 'readwrite', options))
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
    const reading = await this.#begin((db) => db.transaction(names, 'readonly'))
    const [found] = await Promise.all([ask(reading), reading.done])
    return found
  }

  close(): void {
    void this.#open?.then((db) => db.close())
    this.#open = null
  }

  /** Some browsers drop the connection of a page that was away: then it is opened once more. */
  async #begin<T>(transaction: (db: IDBPDatabase<Tables>) => T): Promise<T> {
    try {
      return transaction(await this.#opened())
    } catch (error) {
      if (!isNamed(error, 'InvalidStateError')) throw error
      this.#open = null
      return transaction(await this.#opened())
    }
  }

  #opened(): Promise<IDBPDatabase<Tables>> {
    if (this.#open) return this.#open
    const lost = () => {
      if (this.#open === opening) this.#open = null
    }
    const opening = opened(this.#name, lost)
    opening.catch(lost)
    this.#open = opening
    return opening
  }
}

async function opened(name: string, lost: () => void): Promise<IDBPDatabase<Tables>> {
  const events = {
    terminated: lost,
    // A newer build in another tab brings it up to date; this one opens it again when it must.
    blocking(_from: number, _to: number | null, event: IDBVersionChangeEvent) {
      lost()
      ;(event.target as IDBDatabase).close()
    },
  }
  try {
    return await openDB<Tables>(name, VERSION, { ...events, upgrade })
  } catch (error) {
    // A newer build has been here: what it added does not hinder this one.
    if (isNamed(error, 'VersionError')) return openDB<Tables>(name, undefined, events)
    throw error
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

function isNamed(error: unknown, name: string): boolean {
  return error instanceof DOMException && error.name === name
}
