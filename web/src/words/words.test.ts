import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parse } from 'svelte/compiler'
import { expect, test } from 'vitest'

const SOURCE = fileURLToPath(new URL('..', import.meta.url))
const READ_OUT = new Set(['alt', 'aria-label', 'aria-roledescription', 'placeholder', 'title', 'label'])
// Signs that are the same in every language.
const SIGNS = /^[\s\d.,:;·–—←→+−×/()“”…]*$/u

interface Node {
  type?: string
  data?: string
  name?: string
  value?: unknown
}

/** Every text that stands in markup itself, where no other language could reach it. */
function literal(node: unknown, found: string[] = []): string[] {
  if (Array.isArray(node)) for (const one of node) literal(one, found)
  if (!node || typeof node !== 'object') return found
  const { type, data, name, value } = node as Node
  if (type === 'Text' && !SIGNS.test(data ?? '')) found.push(data!.trim())
  if (type === 'Attribute') {
    if (READ_OUT.has(name!)) literal(value, found)
    return found
  }
  for (const one of Object.values(node)) literal(one, found)
  return found
}

function texts(source: string): string[] {
  // The compiler's tree reaches a node by more than one way.
  return [...new Set(literal(parse(source, { modern: true }).fragment))]
}

test('a text in markup is found, a class or a sign is not', () => {
  expect(texts('<p class="soft">{words.x} · 3</p>')).toEqual([])
  expect(texts('<b aria-label="Close">{#if x}Go on{/if}</b>')).toEqual(['Close', 'Go on'])
})

const files = readdirSync(SOURCE, { recursive: true, encoding: 'utf-8' })

test.each(files.filter((file) => file.endsWith('.svelte')))('%s takes its words from the catalogue', (file) => {
  expect(texts(readFileSync(`${SOURCE}/${file}`, 'utf-8'))).toEqual([])
})
