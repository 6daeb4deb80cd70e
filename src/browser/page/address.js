// A text in the fragment of the address, which no browser sends to any server: packed
// (RFC 1951) and written in the alphabet for addresses (RFC 4648, section 5).
const ADDRESS = '#list=';
const LONGEST = 1 << 20;

async function through(bytes, stream, most) {
  const reader = new Blob([bytes]).stream().pipeThrough(stream).getReader();
  const parts = [];
  let size = 0;
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    size += part.value.length;
    // A few letters can unpack to more than any memory holds.
    if (size > most) throw new RangeError('larger than a list can be');
    parts.push(part.value);
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

function bytesOf(base64) {
  return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
}

// Thirteen bits in two letters, as `assemble` writes the library.
const ALPHABET = '!"#$%\'()*+,-./0123456789:;=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[]^_`abcdefghijklmnopqrstuvwxyz{|}~';

function bytesOfPairs(text) {
  const values = new Uint8Array(128);
  for (let at = 0; at < ALPHABET.length; at += 1) values[ALPHABET.charCodeAt(at)] = at;
  const bytes = new Uint8Array(Math.floor((text.length * 13) / 16));
  let held = 0;
  let bits = 0;
  let end = 0;
  for (let at = 0; at < text.length; at += 2) {
    const second = values[text.charCodeAt(at + 1)] ?? 0;
    held |= (values[text.charCodeAt(at)] + 91 * second) << bits;
    for (bits += 13; bits >= 8 && end < bytes.length; bits -= 8) {
      bytes[end] = held & 255;
      end += 1;
      held >>>= 8;
    }
  }
  return bytes;
}

async function toAddress(text) {
  const bytes = await through(new TextEncoder().encode(text), new CompressionStream('deflate-raw'), LONGEST * 2);
  const letters = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  return ADDRESS + btoa(letters).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}

// The text in an address; nothing where there is none. What cannot be read is an error.
async function fromAddress(address) {
  if (!address.startsWith(ADDRESS)) return undefined;
  const letters = address.slice(ADDRESS.length).replaceAll('-', '+').replaceAll('_', '/');
  const bytes = await through(bytesOf(letters), new DecompressionStream('deflate-raw'), LONGEST);
  return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
}
