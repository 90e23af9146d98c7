// The book maker's worker. The maker is many times the page, so it is fetched when it is first asked
// for, and kept on the device in a store of its own. Nothing but its own file is ever asked for. The
// file's name, its length and its store's name are written in when the folder is built.
const FILE = './@FILE@';
const BYTES = +'@BYTES@';
const STORE = '@STORE@';
// So long without a byte, ms, is as good as no network: a weak one is slow, but it is not silent.
const PATIENCE = 30_000;

// An address that a phone can go to, for the code on the cover; this machine's own is none.
const SITE = /^(localhost|127\.|\[::1\])/.test(location.hostname) ? '' : new URL('./', location.href).href;

const tell = (is, more) => postMessage({ is, ...more });

/** Why it ended, as the page has words for it. */
class Ended extends Error {
  constructor(why) { super(why); this.why = why; }
}

// A browser may refuse its stores; then the maker is fetched each time.
const kept = async () => {
  try { return await (await caches.match(FILE))?.blob(); } catch { return undefined; }
};

const keep = async file => {
  try {
    await (await caches.open(STORE)).put(FILE, new Response(file));
    return true;
  } catch {
    try { await caches.delete(STORE); } catch { /* nothing was opened */ }
    return false;
  }
};

const fetched = async () => {
  tell('fetching', { done: 0, of: BYTES });
  const silence = new AbortController();
  const after = () => setTimeout(() => silence.abort(), PATIENCE);
  let timer = after();
  const answer = await fetch(FILE, { cache: 'no-store', signal: silence.signal }).catch(() => { throw new Ended('network'); });
  if (answer.status === 404 || answer.status === 410) throw new Ended('gone');
  if (!answer.ok) throw new Ended('network');
  const parts = [];
  let done = 0, told = 0;
  const reader = answer.body.getReader();
  for (;;) {
    const part = await reader.read().catch(() => { throw new Ended('network'); });
    clearTimeout(timer);
    if (part.done) break;
    timer = after();
    parts.push(part.value);
    done += part.value.length;
    // A hundredth at a time is as much as anybody sees.
    if (done - told > BYTES / 100) { tell('fetching', { done: told = done, of: BYTES }); }
  }
  return new Blob(parts);
};

// Some servers unpack what is gzipped on the way: told by the first byte.
const module = async file => {
  const packed = new Uint8Array(await file.slice(0, 1).arrayBuffer())[0] === 0x1f;
  if (packed && file.size !== BYTES) throw new Ended('broken');
  const stream = packed ? file.stream().pipeThrough(new DecompressionStream('gzip')) : file.stream();
  const answer = new Response(stream, { headers: { 'Content-Type': 'application/wasm' } });
  return WebAssembly.compileStreaming(answer).catch(() => { throw new Ended('broken'); });
};

const asked = {
  async look() {
    tell('kept', { kept: !!await kept(), able: 'caches' in self, bytes: BYTES });
  },
  async keep() {
    const file = await kept() ?? await fetched();
    await module(file);
    if (!await keep(file)) throw new Ended('store');
    tell('kept', { kept: true, able: true, bytes: BYTES });
  },
  async forget() {
    await caches.delete(STORE);
    tell('kept', { kept: false, able: true, bytes: BYTES });
  },
  async make({ job, paper }) {
    const before = await kept();
    const file = before ?? await fetched();
    tell('making', { stage: 'opening', done: 0, of: 0 });
    let compiled;
    try {
      compiled = await module(file);
    } catch (why) {
      // What does not open is fetched anew next time.
      if (before) await caches.delete(STORE);
      throw why;
    }
    tell('kept', { kept: !!before || await keep(file), able: 'caches' in self, bytes: BYTES });
    const maker = await import('./holefast_web_book.js');
    await maker.default({ module_or_path: compiled });
    const told = (stage, done, of) => {
      if (stage === 'remarks') tell('remarks', { list: JSON.parse(done) });
      else tell('making', { stage, done, of });
    };
    let pdf;
    try {
      pdf = maker.book(job, paper, SITE, told);
    } catch (why) {
      // Faults of the job come as a text, a breakdown as an error.
      if (typeof why !== 'string') throw why;
      tell('faults', { list: JSON.parse(why) });
      return;
    }
    postMessage({ is: 'made', pdf }, [pdf.buffer]);
  },
};

onmessage = async ({ data }) => {
  try {
    await asked[data.ask](data);
  } catch (why) {
    tell('ended', { why: why.why ?? 'breakdown', said: String(why) });
  }
};
