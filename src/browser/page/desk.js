// Workers that answer: one at work, and one that stands by, so that a list which comes while
// another is being worked out waits for nothing but the end of its worker.
const GRACE_MS = 40;

class Desk {
  constructor(module, source, hear) {
    this.module = module;
    this.address = URL.createObjectURL(new Blob([source], { type: 'text/javascript' }));
    this.hear = hear;
    this.id = 0;
    this.asked = undefined;
    this.next = undefined;
    this.at = this.worker();
    this.spare = undefined;
  }

  worker() {
    const worker = new Worker(this.address);
    worker.onmessage = ({ data }) => this.heard(worker, data);
    worker.onerror = (event) => {
      event.preventDefault();
      if (worker === this.at) this.broke(event.message);
    };
    worker.postMessage({ module: this.module });
    return worker;
  }

  // Asks anew; what was asked before is not wanted any more.
  ask(question) {
    this.id += 1;
    this.next = { ...question, id: this.id };
    if (!this.asked) this.begin();
    else if (!this.waits) this.waits = setTimeout(() => this.leave(), GRACE_MS);
  }

  begin() {
    this.asked = this.next;
    this.next = undefined;
    this.at.postMessage(this.asked);
    // Only now: the first answer should not wait for a second worker.
    this.spare ??= this.worker();
  }

  // Ends what is at work; an answer that was heard stays.
  leave() {
    clearTimeout(this.waits);
    this.waits = undefined;
    this.at.terminate();
    this.at = this.spare ?? this.worker();
    this.spare = undefined;
    this.asked = undefined;
    if (this.next) this.begin();
  }

  heard(worker, said) {
    if (worker !== this.at || said.ready || said.id !== this.asked?.id) return;
    if (said.ended) {
      clearTimeout(this.waits);
      this.waits = undefined;
      this.asked = undefined;
    }
    if (said.id === this.id) this.hear(said);
    if (said.ended && this.next) this.begin();
  }

  broke(message) {
    const { id } = this.asked ?? {};
    this.leave();
    if (id === this.id) this.hear({ id, broken: message, ended: true });
  }

  // One question by itself, on a worker of its own: `{answer}`, `{faults}` or `{refused}`.
  alone(question, text, seconds) {
    return new Promise((resolve, reject) => {
      const worker = new Worker(this.address);
      const end = (then, value) => {
        worker.terminate();
        then(value);
      };
      worker.onerror = (event) => end(reject, new Error(event.message));
      worker.onmessage = ({ data }) => data.said && end(resolve, data.said);
      worker.postMessage({ module: this.module });
      worker.postMessage({ alone: true, question, text, seconds });
    });
  }
}
