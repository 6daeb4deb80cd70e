// Lists and answers as files, and the address: all that is kept anywhere.
function saveAs(name, type, text) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

// A name that every system takes for a file.
function fileName(title, ending) {
  const name = (title ?? '').normalize('NFC').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').slice(0, 60);
  return `${name || 'setup'}.${ending}`;
}

function isDocument(text) {
  return text.trimStart().startsWith('{');
}

// The text of a file, or an error with a sentence for people.
async function textOf(file) {
  if (file.size > LONGEST) throw new Error(`${file.name} is larger than a list can be`);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name} is not UTF-8 text`);
  }
}
