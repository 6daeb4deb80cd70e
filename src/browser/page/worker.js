// Runs in a worker, behind the glue of the library: one list at a time. First a short try, so
// that there is something to see; then, from there, the whole answer.
const FIRST_S = 0.3;

// What a quick answer leaves out is worked out in a second one.
const IN_TWO = ['plan', 'rota'];

function asked(question, text, seconds, from, quick = false) {
  return JSON.parse(wasm_bindgen.ask(question, text, seconds, from, quick));
}

function answer({ text, question, seconds }, say) {
  const { read, faults } = JSON.parse(wasm_bindgen.read(text));
  if (faults) return say({ faults, ended: true });
  const chosen = read.questions.includes(question) ? question : read.questions[0];
  if (!chosen) return say({ read, refused: 'there is nothing to be charged, and no way to go', ended: true });
  const began = performance.now();
  const tell = (said, ended) => say({ ...said, read, question: chosen, ended, took: performance.now() - began });
  const quick = IN_TWO.includes(chosen);
  const first = asked(chosen, text, Math.min(FIRST_S, seconds), undefined, quick);
  const ended = !first.answer || (first.answer.settled && !quick);
  tell(first, ended);
  if (ended) return;
  const from = quick || chosen === 'why' ? first.answer.document : undefined;
  const left = Math.max(seconds - (performance.now() - began) / 1000, FIRST_S);
  tell(asked(chosen, text, left, from), true);
}

self.onmessage = ({ data }) => {
  if (data.module) {
    wasm_bindgen.initSync({ module: data.module });
    self.postMessage({ ready: true });
  } else if (data.alone) {
    // As the command line asks: no clock unless it is given.
    self.postMessage({ alone: data.alone, said: asked(data.question, data.text, data.seconds) });
  } else {
    answer(data, (said) => self.postMessage({ ...said, id: data.id }));
  }
};
