// What happens when: typing asks, answers are shown, the address follows.
const QUESTIONS = {
  plan: 'who goes where',
  why: 'why no sooner',
  rota: 'who goes where, session by session',
  trip: 'the way',
  pack: 'what to pack',
};
const MOST_SECONDS = 600;
// Programs that pass addresses on cut what is longer.
const LONG_ADDRESS = 2_000;
const AT_REST_MS = 700;

const field = found('list');
const shown = new Shown(found('shown'), block('shown-style'));
let desk;
let setup = {};
let answer;
let typedAt = 0;
let begun = 0;
let ticking;
let speaking;
let keeping;
let kept = '';

function block(id) {
  return found(id).textContent;
}

function seconds() {
  const wanted = Number(found('seconds').value);
  return Math.min(Math.max(Number.isFinite(wanted) ? wanted : 10, 1), MOST_SECONDS);
}

function question() {
  return document.querySelector('#questions input:checked')?.value ?? '';
}

// What is heard by those who do not see the page, once nobody types any more.
function speak(text) {
  clearTimeout(speaking);
  speaking = setTimeout(() => {
    found('said').textContent = text;
  }, AT_REST_MS);
}

function notice(text) {
  found('notice').hidden = !text;
  found('notice').textContent = text;
}

function ask() {
  typedAt = performance.now();
  begun = typedAt;
  clearTimeout(speaking);
  found('answer').setAttribute('aria-busy', 'true');
  if (!desk) return;
  desk.ask({ text: field.value, question: question(), seconds: seconds() });
  clearInterval(ticking);
  ticking = setInterval(tick, 250);
}

function tick() {
  const passed = Math.floor((performance.now() - begun) / 1000);
  found('state').textContent = `Looking for the best: ${passed} s of ${seconds()} s at most.`;
  found('stop').hidden = false;
  found('longer').hidden = true;
}

function rest(text) {
  clearInterval(ticking);
  found('answer').removeAttribute('aria-busy');
  found('stop').hidden = true;
  found('state').textContent = text;
}

function hear(said) {
  if (said.faults) return hearFaults(said.faults);
  showFaults([]);
  if (said.read) showQuestions(said.read, said.question);
  if (said.broken !== undefined) return hearNothing('This went wrong in the page itself, and is no fault of the list. Save the list as a file.');
  if (said.refused) return hearNothing(`${sentence(said.refused)}.`);
  hearAnswer(said);
}

function hearFaults(faults) {
  showFaults(faults);
  found('longer').hidden = true;
  const stands = answer ? ' What stands below is of the list as it was before.' : '';
  const first = faults[0].line ? `Line ${faults[0].line}` : 'The list';
  rest('');
  notice(`There is no answer yet: ${counted(faults)} in the list.${stands}`);
  speak(`${counted(faults)}. ${first}: ${faults[0].message}.`);
}

function hearNothing(why) {
  answer = undefined;
  shown.clear();
  found('answer-tools').hidden = true;
  found('longer').hidden = true;
  rest('');
  notice(why);
  speak(why);
}

function hearAnswer(said) {
  answer = said.answer;
  shown.show(answer.html);
  found('answer-tools').hidden = false;
  notice('');
  requestAnimationFrame(() => performance.measure('answer', { start: typedAt }));
  if (said.ended) settle(said);
  else speak(`${sentence(answer.headline)}. Looking for something better.`);
}

// The last answer to a list.
function settle({ took, question: asked }) {
  const after = `${(took / 1000).toFixed(took < 1000 ? 2 : 1)} s`;
  const inFull = asked === 'trip' || asked === 'pack' ? 'Worked out in full' : 'Proven best';
  found('longer').hidden = answer.settled || seconds() === MOST_SECONDS;
  if (answer.proven) {
    const some = answer.settled ? '' : ' What goes with it was not worked out to the end.';
    rest(`${inFull}, after ${after}.${some}`);
    return speak(`${sentence(answer.headline)}. ${inFull}.`);
  }
  const limit = took >= seconds() * 1000 - 500 ? `The limit of ${seconds()} s struck` : 'A limit of the search struck';
  ended(`${limit}: this is the best that was found by then. It is not proven best.`);
}

function ended(why) {
  rest('');
  notice(why);
  speak(`${sentence(answer.headline)}. ${why}`);
}

function stop() {
  desk.leave();
  found('longer').hidden = false;
  if (answer) ended('You stopped it: this is the best that was found by then. It is not proven best.');
  else hearNothing('You stopped it before there was an answer.');
  found('longer').focus();
}

function takeLonger() {
  found('seconds').value = String(Math.min(seconds() * 4, MOST_SECONDS));
  ask();
  found('answer').focus();
}

function showQuestions(read, asked) {
  setup = read;
  const box = found('questions');
  const names = read.questions.join();
  if (box.dataset.names !== names) {
    box.dataset.names = names;
    box.querySelectorAll('label').forEach((label) => label.remove());
    box.append(...read.questions.map(choice));
  }
  box.hidden = read.questions.length < 2;
  for (const input of box.querySelectorAll('input')) input.checked = input.value === asked;
}

function choice(name) {
  const label = document.createElement('label');
  const input = Object.assign(document.createElement('input'), { type: 'radio', name: 'question', value: name });
  input.addEventListener('change', ask);
  label.append(input, QUESTIONS[name]);
  return label;
}

function typed() {
  paint([]);
  fit();
  ask();
  clearTimeout(keeping);
  keeping = setTimeout(keep, 300);
}

// Puts the list into the address.
async function keep() {
  const text = field.value;
  const address = await toAddress(text);
  if (text !== field.value) return;
  kept = address;
  history.replaceState(null, '', address);
  const long = location.href.length > LONG_ADDRESS;
  tellKept(long ? `This address has ${location.href.length} letters, and some programs cut long ones: save a file instead.` : '');
}

function tellKept(text) {
  found('kept').textContent = text || 'The address of this page holds the list: keep it, or hand it on. Nothing is sent anywhere.';
}

async function copy() {
  await keep();
  try {
    await navigator.clipboard.writeText(location.href);
    tellKept('The address is copied. Whoever opens it has the page and this list.');
  } catch {
    tellKept('The address could not be copied: take it from the address bar.');
  }
  speak(found('kept').textContent);
}

// Another text in the place of the list; the keys for undoing bring it back.
function replace(text) {
  type(field, 0, field.value.length, text);
  field.setSelectionRange(0, 0);
  field.scrollTop = 0;
  follow();
}

async function open(file) {
  if (!file) return;
  try {
    replace(await textOf(file));
  } catch (error) {
    notice(`${sentence(error.message)}.`);
    speak(found('notice').textContent);
  }
}

async function moved() {
  if (location.hash === kept) return;
  try {
    const text = await fromAddress(location.hash);
    if (text !== undefined) replace(text);
  } catch {
    notice('The address holds no list that can be read.');
  }
}

function listen() {
  field.addEventListener('input', typed);
  field.addEventListener('scroll', follow);
  addEventListener('resize', fit);
  addEventListener('hashchange', moved);
  found('seconds').addEventListener('change', ask);
  found('stop').addEventListener('click', stop);
  found('longer').addEventListener('click', takeLonger);
  found('skip').addEventListener('click', () => found('answer').focus());
  found('open').addEventListener('click', () => found('file').click());
  found('file').addEventListener('change', async ({ target }) => {
    await open(target.files[0]);
    target.value = '';
  });
  found('copy').addEventListener('click', copy);
  found('example').addEventListener('change', ({ target }) => {
    if (target.value) replace(block(target.value));
    target.value = '';
  });
  const ending = () => (isDocument(field.value) ? 'json' : 'txt');
  found('save').addEventListener('click', () => saveAs(fileName(setup.name, ending()), 'text/plain', field.value));
  found('save-page').addEventListener('click', () => saveAs(fileName(setup.name ?? 'answer', 'html'), 'text/html', answer.html));
  found('save-document').addEventListener('click', () => saveAs(fileName(setup.name ?? 'answer', 'json'), 'application/json', answer.document));
  addEventListener('dragover', (event) => event.preventDefault());
  addEventListener('drop', (event) => {
    event.preventDefault();
    open(event.dataTransfer?.files[0]);
  });
}

// The list to begin with: that of the address, or the example.
async function first() {
  try {
    const text = await fromAddress(location.hash);
    if (text !== undefined) {
      kept = location.hash;
      return [text, ''];
    }
    return [block('quartet'), ''];
  } catch {
    return [block('quartet'), 'The address holds no list that can be read; here is an example.'];
  }
}

async function start() {
  listen();
  const [text, why] = await first();
  field.value = text;
  fit();
  const bytes = await through(bytesOfPairs(block('library')), new DecompressionStream('gzip'), 1 << 26);
  const module = await WebAssembly.compile(bytes);
  desk = new Desk(module, block('worker'), hear);
  ask();
  if (why) {
    tellKept(why);
    speak(why);
  }
}

// For whoever wants an answer from a script of their own.
globalThis.wattberth = Object.freeze({
  ask: (asked, text, limit) => desk.alone(asked, text, limit),
});

start().catch((error) => {
  rest('');
  notice(`This browser cannot run the page: ${error.message}.`);
});
