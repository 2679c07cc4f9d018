/** A database of this phone: opened when needed, and once more where the browser closed it. */
import { openDB, type DBSchema, type IDBPDatabase } from 'idb'

type Upgrade<Tables extends DBSchema> = (db: IDBPDatabase<Tables>, from: number) => void

export class Connection<Tables extends DBSchema> {
  readonly #name: string
  readonly #version: number
  readonly #upgrade: Upgrade<Tables>
  #open: Promise<IDBPDatabase<Tables>> | null = null

  constructor(name: string, version: number, upgrade: Upgrade<Tables>) {
    this.#name = name
    this.#version = version
    this.#upgrade = upgrade
  }

  /** Some browsers drop the connection of a page that was away: then it is opened once more. */
  async begin<T>(transaction: (db: IDBPDatabase<Tables>) => T): Promise<T> {
    try {
      return transaction(await this.#opened())
    } catch (error) {
      if (!isNamed(error, 'InvalidStateError')) throw error
      this.#open = null
      return transaction(await this.#opened())
    }
  }

  close(): void {
    void this.#open?.then((db) => db.close())
    this.#open = null
  }

  #opened(): Promise<IDBPDatabase<Tables>> {
    if (this.#open) return this.#open
    const lost = () => {
      if (this.#open === opening) this.#open = null
    }
    const opening = this.#connect(lost)
    opening.catch(lost)
    this.#open = opening
    return opening
  }

  async #connect(lost: () => void): Promise<IDBPDatabase<Tables>> {
    const events = {
      terminated: lost,
      // A newer build in another tab brings it up to date; this one opens it again when it must.
      blocking(_from: number, _to: number | null, event: IDBVersionChangeEvent) {
        lost()
        ;(event.target as IDBDatabase).close()
      },
    }
    try {
      const upgrade = this.#upgrade
      return await openDB<Tables>(this.#name, this.#version, { ...events, upgrade })
    } catch (error) {
      // A newer build has been here: what it added does not hinder this one.
      if (isNamed(error, 'VersionError')) return openDB<Tables>(this.#name, undefined, events)
      throw error
    }
  }
}

export function isNamed(error: unknown, name: string): boolean {
  return error instanceof DOMException && error.name === name
}
