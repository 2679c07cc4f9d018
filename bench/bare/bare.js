// The least that a page can do which starts with no signal and keeps one row for each tap.
const policy = trustedTypes.createPolicy('counterpoise', { createScriptURL: (url) => url })
void navigator.serviceWorker.register(policy.createScriptURL('/bare/sw.js'))
const opened = indexedDB.open('bare', 1)
opened.onupgradeneeded = () => opened.result.createObjectStore('rows', { autoIncrement: true })
opened.onsuccess = () => {
  let kept = 0
  document.querySelector('button').onclick = () => {
    const change = opened.result.transaction('rows', 'readwrite', { durability: 'strict' })
    change.objectStore('rows').add({ at: Date.now() })
    change.oncomplete = () => {
      document.querySelector('#said').textContent = `${++kept} kept`
    }
  }
}
