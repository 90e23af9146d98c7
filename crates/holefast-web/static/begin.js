// Starts the page, and keeps it for use without a network.
import init, { open_page } from './holefast_web.js';
await init({ module_or_path: './holefast_web_bg.wasm' });
await open_page();
// When it can be used; the trials read it.
performance.mark('usable');
if ('serviceWorker' in navigator) {
  // Refused (an old browser, a private window) it is a page that needs its network: no harm.
  navigator.serviceWorker.register('./keep.js').catch(() => {});
}
