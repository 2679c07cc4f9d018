/** Writes into the service worker which files make up the shell, and what build that is. */
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Plugin } from 'vite'

const PLACEHOLDER = /__(BUILD|FILES)__/

export function precache(): Plugin {
  let folder = ''
  return {
    name: 'precache',
    apply: 'build',
    enforce: 'post',
    configResolved: (config) => void (folder = config.publicDir),
    generateBundle(_options, bundle) {
      const worker = bundle['sw.js']
      if (worker?.type !== 'chunk') return this.error('the service worker was not built')
      const files = new Map<string, string | Uint8Array>()
      for (const file of Object.values(bundle)) {
        if (file !== worker)
          files.set(file.fileName, file.type === 'chunk' ? file.code : file.source)
      }
      for (const name of readdirSync(folder)) files.set(name, readFileSync(join(folder, name)))
      const names = [...files.keys()].sort()
      const build = createHash('sha256')
      for (const name of names) build.update(name).update(files.get(name)!)
      worker.code = worker.code
        .replace('__BUILD__', JSON.stringify(build.digest('hex').slice(0, 16)))
        .replace('__FILES__', JSON.stringify(names.map((name) => `/${name}`)))
      for (const file of Object.values(bundle)) {
        const text = file.type === 'chunk' ? file.code : file.source.toString()
        if (PLACEHOLDER.test(text)) this.error(`a placeholder is left in ${file.fileName}`)
      }
    },
  }
}
