// Keeps the page's own files on the device. A new version is fetched beside the old one and taken
// at the next visit, never under somebody's work. FILES and VERSION are written in when it is built.
const VERSION = '@VERSION@';
const FILES = [/*@FILES@*/];
self.addEventListener('install', event => {
  event.waitUntil(caches.open(VERSION).then(store => store.addAll(FILES)));
});
self.addEventListener('activate', event => {
  event.waitUntil(caches.keys().then(names =>
    Promise.all(names.filter(name => name !== VERSION).map(name => caches.delete(name)))));
});
self.addEventListener('fetch', event => {
  if (event.request.method !== 'GET') return;
  event.respondWith(caches.open(VERSION)
    .then(store => store.match(event.request, { ignoreSearch: true }))
    .then(kept => kept ?? fetch(event.request)));
});
