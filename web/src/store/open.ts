/** A member's store, kept in the database of this member on this phone. */
import { Database } from './database'
import * as queue from './queue'
import * as reads from './reads'
import type { Store } from './store'

export function openStore(member: string): Store {
  const disk = new Database(member)
  return {
    member,
    add: (rows) => queue.add(disk, rows),
    waiting: (kind, most) => queue.waiting(disk, kind, most),
    settle: (answers, now) => queue.settle(disk, answers, now),
    ofLesson: (lesson) => queue.ofLesson(disk, lesson),
    all: () => queue.all(disk),
    counts: () => queue.counts(disk),
    again: (id, corrected = {}) => queue.again(disk, id, corrected),
    putAside: (id) => queue.putAside(disk, id),
    forgetOld: (today) => queue.forgetOld(disk, today),
    read: (url) => reads.read(disk, url),
    keep: (one) => reads.keep(disk, one),
    forgetNames: () => queue.forgetNames(disk),
    async choice<T>(name: string) {
      const found = await disk.read(['choices'], (now) => now.objectStore('choices').get(name))
      return found as T | undefined
    },
    async choose(name, value) {
      await disk.write(['choices'], (now) => now.objectStore('choices').put(value, name))
    },
    close: () => disk.close(),
  }
}
