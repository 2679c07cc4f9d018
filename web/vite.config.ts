import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vitest/config'
import { precache } from './precache.ts'

const SERVER = process.env.SERVER ?? 'http://127.0.0.1:8000'

export default defineConfig({
  plugins: [svelte(), precache()],
  build: {
    outDir: 'built',
    target: 'es2022',
    sourcemap: false,
    // The page's own rules allow no data: address, and a file is kept for good anyway.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { index: 'index.html', sw: 'src/shell/sw.ts' },
      output: {
        // The worker's address never changes: the browser looks there for a newer one.
        entryFileNames: ({ name }) => (name === 'sw' ? 'sw.js' : 'assets/[name]-[hash].js'),
      },
    },
  },
  server: { proxy: { '/api': SERVER, '/_allauth': SERVER } },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
})
