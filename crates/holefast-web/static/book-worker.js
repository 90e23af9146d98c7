// The book maker's worker: asked for a book, it answers with the pages, the PDF and the type they are set in.

// An address that a phone can go to, for the code on the cover; this machine's own is none.
const SITE = /^(localhost|127\.|\[::1\])/.test(location.hostname) ? '' : new URL('./', location.href).href;

const tell = (is, more) => postMessage({ is, ...more });

/** Why it ended, as the page has words for it. */
class Ended extends Error {
  constructor(why) { super(why); this.why = why; }
}

const FILE = './holefast_web_book_bg.wasm';

const fetched = async () => {
  const answer = await fetch(FILE).catch(() => { throw new Ended('network'); });
  if (answer.status === 404 || answer.status === 410) throw new Ended('gone');
  if (!answer.ok) throw new Ended('network');
  return answer.arrayBuffer().catch(() => { throw new Ended('network'); });
};

/** Takes the file out of every store that keeps it, and returns those stores. */
const dropped = async () => {
  if (!('caches' in self)) return [];
  const stores = await Promise.all((await caches.keys()).map(name => caches.open(name)));
  const had = await Promise.all(stores.map(store => store.delete(FILE)));
  return stores.filter((_, i) => had[i]);
};

/** The maker, made ready: kept on this device with the page's own files, or fetched. */
const opened = async () => {
  const maker = await import('./holefast_web_book.js').catch(() => { throw new Ended('network'); });
  let bytes = await fetched();
  let module = await WebAssembly.compile(bytes).catch(() => undefined);
  if (!module) {
    // What is kept does not open: once more from the server, and kept in its place.
    const stores = await dropped();
    bytes = await fetched();
    module = await WebAssembly.compile(bytes).catch(() => { throw new Ended('broken'); });
    const headers = { 'Content-Type': 'application/wasm' };
    await Promise.all(stores.map(store => store.put(FILE, new Response(bytes, { headers }))));
  }
  await maker.default({ module_or_path: module });
  return maker;
};

const make = async ({ job, paper }) => {
  tell('making', { stage: 'opening', done: 0, of: 0 });
  const maker = await opened();
  const told = (stage, done, of) => {
    if (stage === 'remarks') tell('remarks', { list: JSON.parse(done) });
    else tell('making', { stage, done, of });
  };
  let book;
  try {
    book = maker.book(job, paper, SITE, told);
  } catch (why) {
    // Faults of the job come as a text, a breakdown as an error.
    if (typeof why !== 'string') throw why;
    tell('faults', { list: JSON.parse(why) });
    return;
  }
  const pages = Array.from({ length: book.pages() }, (_, page) => book.page(page));
  const pdf = book.pdf();
  const faces = [maker.face(false), maker.face(true)];
  postMessage({ is: 'made', pdf, pages, faces }, [pdf.buffer, ...faces.map(face => face.buffer)]);
};

onmessage = async ({ data }) => {
  try {
    await make(data);
  } catch (why) {
    tell('ended', { why: why.why ?? 'breakdown', said: String(why) });
  }
};
