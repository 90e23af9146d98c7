// The book maker's worker: asked for a book, it answers with the pages, the PDF and the type they are set in.

// An address that a phone can go to, for the code on the cover; this machine's own is none.
const SITE = /^(localhost|127\.|\[::1\])/.test(location.hostname) ? '' : new URL('./', location.href).href;

const tell = (is, more) => postMessage({ is, ...more });

/** Why it ended, as the page has words for it. */
class Ended extends Error {
  constructor(why) { super(why); this.why = why; }
}

// The maker's files. Their names carry the digest of this version and are written in when the folder is built: this
// worker never runs a maker of another version, which a server may have by now.
const MODULE = './@MODULE@';
const BINDINGS = './@BINDINGS@';

// So long without a byte, ms, is as good as no network: a weak one is slow, but it is not silent.
const PATIENCE = 30_000;

const fetched = async cache => {
  const silence = new AbortController();
  const wait = () => setTimeout(() => silence.abort(), PATIENCE);
  const lost = () => { throw new Ended('network'); };
  let timer = wait();
  try {
    const answer = await fetch(MODULE, { cache, signal: silence.signal }).catch(lost);
    // some servers answer for what they do not have with a page of their own
    const isPage = answer.headers.get('Content-Type')?.includes('text/html');
    if (answer.status === 404 || answer.status === 410 || isPage) throw new Ended('gone');
    if (!answer.ok) lost();
    const parts = [];
    const reader = answer.body.getReader();
    for (;;) {
      const part = await reader.read().catch(lost);
      if (part.done) return new Blob(parts).arrayBuffer();
      parts.push(part.value);
      clearTimeout(timer);
      timer = wait();
    }
  } finally {
    clearTimeout(timer);
  }
};

/** Takes the module out of every store that keeps it; returns stores and what they kept, none where a browser refuses them. */
const takenOut = async () => {
  try {
    const stores = await Promise.all((await caches.keys()).map(name => caches.open(name)));
    const kept = await Promise.all(stores.map(async store => [store, await store.match(MODULE)]));
    const held = kept.filter(([, answer]) => answer);
    await Promise.all(held.map(([store]) => store.delete(MODULE)));
    return held;
  } catch {
    return [];
  }
};

const started = async bytes => {
  const module = await WebAssembly.compile(bytes);
  const maker = await import(BINDINGS).catch(why => { throw new Ended(why instanceof SyntaxError ? 'broken' : 'network'); });
  await maker.default({ module_or_path: module });
  return maker;
};

const isDamaged = why => why instanceof WebAssembly.CompileError || why instanceof WebAssembly.LinkError;

/** The maker, made ready: kept on this device with the page's own files, or fetched. */
const opened = async () => {
  try {
    return await started(await fetched('default'));
  } catch (why) {
    if (!isDamaged(why)) throw why;
  }
  // What is kept does not open: once more from the server, and kept in its place.
  const held = await takenOut();
  // a full store is no reason to go without the book
  const keep = answer => Promise.all(held.map(([store, old]) => store.put(MODULE, answer?.clone() ?? old).catch(() => {})));
  try {
    const bytes = await fetched('reload');
    const maker = await started(bytes);
    await keep(new Response(bytes, { headers: { 'Content-Type': 'application/wasm' } }));
    return maker;
  } catch (why) {
    await keep();
    throw isDamaged(why) ? new Ended('broken') : why;
  }
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
