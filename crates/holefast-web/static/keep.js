// Keeps the page's own files on the device. A new version is fetched beside the old one and waits: it
// is taken when the person says so, or at a visit with no page open, never under somebody's work.
// Names are written in when it is built.
const VERSION = '@VERSION@';
const FILES = [/*@FILES@*/];
self.addEventListener('install', event => {
  event.waitUntil(caches.open(VERSION)
    .then(store => store.addAll(FILES.map(file => new Request(file, { cache: 'reload' })))));
});
self.addEventListener('message', event => {
  if (event.data === 'take') self.skipWaiting();
});
self.addEventListener('activate', event => {
  event.waitUntil(caches.keys().then(names =>
    Promise.all(names.filter(name => name !== VERSION).map(name => caches.delete(name)))));
});
self.addEventListener('fetch', event => {
  if (event.request.method !== 'GET' || new URL(event.request.url).origin !== self.location.origin) return;
  event.respondWith(caches.open(VERSION)
    .then(store => store.match(event.request, { ignoreSearch: true }))
    .then(kept => kept ?? fetch(event.request)));
});
