// The planner in a thread of its own: asked a text, it answers texts.
import init, { answer } from './holefast_web_planner.js';
const ready = init({ module_or_path: './holefast_web_planner_bg.wasm' });
self.onmessage = async event => {
  await ready;
  answer(event.data, text => self.postMessage(text));
};
