// Runs one test binary of the core, compiled for WASI, under node: argument 1 is the file, the rest
// go to it. The whole file system is let through, so that tests find golden files by the
// same paths as natively.
import { readFileSync } from 'node:fs';
import { WASI } from 'node:wasi';

const [file, ...rest] = process.argv.slice(2);
const wasi = new WASI({
  version: 'preview1',
  args: [file, ...rest],
  env: process.env,
  preopens: { '/': '/' },
  returnOnExit: true,
});
// The standard library names these two although WASI preview 1 has no threads and Debian's
// wasi-libc leaves them out; nothing may call them (see xtask/src/wasm.rs).
const noThreads = (name) => () => {
  throw new Error(`${name}: WASI preview 1 has no threads`);
};
const module = await WebAssembly.compile(readFileSync(file));
const instance = await WebAssembly.instantiate(module, {
  wasi_snapshot_preview1: wasi.wasiImport,
  env: { pthread_join: noThreads('pthread_join'), pthread_detach: noThreads('pthread_detach') },
});
process.exitCode = wasi.start(instance);
