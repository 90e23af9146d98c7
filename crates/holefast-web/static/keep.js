// Keeps the page's own files on the device. A new version is fetched beside the old one and waits: it
// is taken when the person says so, or at a visit with no page open, never under somebody's work. The
// book maker is kept in a store of its own by its worker; where it is, a new version brings its own
// along. Names are written in when it is built.
const VERSION = '@VERSION@';
const FILES = [/*@FILES@*/];
const BOOK_FILE = './@FILE@';
const BOOK = '@STORE@';
const isBook = name => name.startsWith('holefast book ');
self.addEventListener('install', event => {
  event.waitUntil((async () => {
    await (await caches.open(VERSION)).addAll(FILES.map(file => new Request(file, { cache: 'reload' })));
    const has = (await caches.keys()).some(isBook);
    if (has && !await caches.match(BOOK_FILE)) await (await caches.open(BOOK)).add(BOOK_FILE);
  })());
});
self.addEventListener('message', event => {
  if (event.data === 'take') self.skipWaiting();
});
self.addEventListener('activate', event => {
  event.waitUntil(caches.keys().then(names =>
    Promise.all(names.filter(name => name !== VERSION && name !== BOOK).map(name => caches.delete(name)))));
});
self.addEventListener('fetch', event => {
  if (event.request.method !== 'GET' || new URL(event.request.url).origin !== self.location.origin) return;
  event.respondWith(caches.open(VERSION)
    .then(store => store.match(event.request, { ignoreSearch: true }))
    .then(kept => kept ?? fetch(event.request)));
});
