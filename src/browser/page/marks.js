// The words that faults are about, marked behind the text field; and the faults below it,
// each with a button that goes to its words.
const found = (id) => document.getElementById(id);

// Replaces a part of the text as if it were typed, so that it can be undone.
function type(field, from, to, text) {
  field.focus();
  field.setSelectionRange(from, to);
  const typed = text ? document.execCommand('insertText', false, text) : document.execCommand('delete');
  if (!typed || !field.value.includes(text)) {
    field.setRangeText(text, from, to, 'end');
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
}

// What is marked of a fault: its words, or the letter where they should be.
function range({ line, from, to }, text) {
  if (!line) return undefined;
  if (to > from) return [from, to];
  if (from < text.length && text[from] !== '\n') return [from, from + 1];
  return from > 0 && text[from - 1] !== '\n' ? [from - 1, from] : undefined;
}

function paint(faults) {
  const text = found('list').value;
  const ranges = faults.map((fault) => range(fault, text)).filter(Boolean);
  ranges.sort((one, other) => one[0] - other[0]);
  const parts = [];
  let at = 0;
  for (const [from, to] of ranges) {
    if (from < at) continue;
    const mark = document.createElement('mark');
    mark.textContent = text.slice(from, to);
    parts.push(text.slice(at, from), mark);
    at = to;
  }
  // A last line without letters has its height all the same.
  found('marks').replaceChildren(...parts, text.slice(at), '\n\u200b');
  follow();
}

function follow() {
  found('marks').scrollTop = found('list').scrollTop;
}

// Goes to the words of a fault; the field scrolls to where the caret is.
function goTo(fault) {
  const field = found('list');
  const [from, to] = range(fault, field.value) ?? [fault.from, fault.to];
  field.focus();
  field.setSelectionRange(from, from);
  field.blur();
  field.focus();
  field.setSelectionRange(from, to);
}

function button(label, action, className) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = label;
  if (className) made.className = className;
  made.addEventListener('click', action);
  return made;
}

function sentence(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

// What stands between backquotes is shown as it is typed.
function quoted(text) {
  const part = (words, at) => (at % 2 ? Object.assign(document.createElement('code'), { textContent: words }) : words);
  return text.split('`').map(part);
}

function item(fault) {
  const li = document.createElement('li');
  const text = found('list').value;
  if (fault.line) {
    const words = text.slice(fault.from, fault.to).trim();
    const at = button(`Line ${fault.line}`, () => goTo(fault), 'at');
    if (words && words.length <= 40) at.append(': ', Object.assign(document.createElement('q'), { textContent: words }));
    li.append(at, ' ');
  }
  li.append(...quoted(`${sentence(fault.message)}. `));
  if (fault.suggestion) {
    const near = text[fault.from] === '"' ? `"${fault.suggestion}"` : fault.suggestion;
    li.append('Did you mean ', button(fault.suggestion, () => type(found('list'), fault.from, fault.to, near)), '?');
  }
  return li;
}

function counted(faults) {
  return faults.length === 1 ? '1 fault' : `${faults.length} faults`;
}

function showFaults(faults) {
  const field = found('list');
  paint(faults);
  found('faults').hidden = faults.length === 0;
  found('faults-title').textContent = faults.length ? counted(faults) : '';
  found('fault-list').replaceChildren(...faults.map(item));
  if (faults.length) field.setAttribute('aria-invalid', 'true');
  else field.removeAttribute('aria-invalid');
}

// As high as its text, where the page gives it the room.
function fit() {
  const field = found('list');
  field.style.height = 'auto';
  field.style.height = `${field.scrollHeight + 2}px`;
  follow();
}
