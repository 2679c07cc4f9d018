import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { precache } from '../../precache.ts'

const SOURCE = 'const build = __BUILD__; const files = __FILES__'

function built(files: Record<string, string>, publicFile = 'icon'): string {
  const folder = mkdtempSync(join(tmpdir(), 'precache-'))
  writeFileSync(join(folder, 'icon.svg'), publicFile)
  const bundle = Object.fromEntries(
    Object.entries(files).map(([fileName, code]) => [fileName, { type: 'chunk', fileName, code }]),
  )
  const plugin = precache() as unknown as {
    configResolved: (config: { publicDir: string }) => void
    generateBundle: (this: { error: (text: string) => never }, options: object, all: object) => void
  }
  plugin.configResolved({ publicDir: folder })
  const error = (text: string): never => {
    throw new Error(text)
  }
  plugin.generateBundle.call({ error }, {}, bundle)
  return bundle['sw.js']!.code
}

test('the worker keeps every file of the build and the public ones, but not itself', () => {
  const code = built({ 'sw.js': SOURCE, 'index.html': 'page', 'assets/a.js': 'a' })
  const [build, files] = code.split('; ')
  expect(build).toMatch(/^const build = "[0-9a-f]{16}"$/)
  expect(files).toBe('const files = ["/assets/a.js","/icon.svg","/index.html"]')
})

test('another content of any file is another build, the same is the same', () => {
  const one = built({ 'sw.js': SOURCE, 'index.html': 'page' })
  expect(built({ 'sw.js': SOURCE, 'index.html': 'page' })).toBe(one)
  expect(built({ 'sw.js': SOURCE, 'index.html': 'another' })).not.toBe(one)
  expect(built({ 'sw.js': SOURCE, 'index.html': 'page' }, 'another')).not.toBe(one)
})

test('a placeholder that is left anywhere fails the build', () => {
  expect(() => built({ 'sw.js': `${SOURCE}; __BUILD__` })).toThrow('a placeholder is left in sw.js')
  expect(() => built({ 'sw.js': SOURCE, 'a.js': '__FILES__' })).toThrow('left in a.js')
  expect(() => built({ 'a.js': '' })).toThrow('the service worker was not built')
})
