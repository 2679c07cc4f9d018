/** Keeps the shell of the client on this phone. What is the server's own it never touches. */
declare const __BUILD__: string
declare const __FILES__: readonly string[]

const worker = self as unknown as ServiceWorkerGlobalScope
const SHELL = '/index.html'
const KEPT = `shell-${__BUILD__}`
const OF_THE_SERVER = /^\/(api|_allauth|livez|readyz|sw\.js)(\/|$)/

worker.addEventListener('install', (event) => {
  const anew = __FILES__.map((file) => new Request(file, { cache: 'reload' }))
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(anew)))
})

worker.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) =>
        Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name))),
      )
      .then(() => worker.clients.claim()),
  )
})

worker.addEventListener('message', ({ data }) => {
  if (data === 'use') void worker.skipWaiting()
})

worker.addEventListener('fetch', (event) => {
  const { request } = event
  const { origin, pathname } = new URL(request.url)
  if (request.method !== 'GET' || origin !== worker.location.origin) return
  if (OF_THE_SERVER.test(pathname)) return
  const asked = request.mode === 'navigate' ? SHELL : request
  const of = { cacheName: KEPT, ignoreVary: true }
  event.respondWith(caches.match(asked, of).then((kept) => kept ?? fetch(request)))
})
