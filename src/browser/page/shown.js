// The answer as the library laid it out: a page that stands by itself, of which the middle is
// shown here under its own styles.
const ROUND = new CSSStyleSheet();

class Shown {
  constructor(host, style) {
    this.root = host.attachShadow({ mode: 'open' });
    ROUND.replaceSync(style);
    this.own = new CSSStyleSheet();
    this.root.adoptedStyleSheets = [this.own, ROUND];
    this.styles = '';
  }

  show(html) {
    // Styles are taken out first: no policy lets those of another page in.
    const [head, rest] = cut(html, '<style>');
    const [styles, body] = cut(rest, '</style>');
    const page = new DOMParser().parseFromString(head + body, 'text/html');
    if (styles !== this.styles) this.own.replaceSync((this.styles = styles));
    const opened = new Set(this.summaries((details) => details.open));
    const main = document.importNode(page.querySelector('main'), true);
    // Headings below that of the answer; it is no page of its own here.
    const middle = document.createElement('div');
    middle.append(...main.childNodes);
    for (const heading of middle.querySelectorAll('h1, h2')) lower(heading);
    this.root.replaceChildren(middle);
    for (const details of this.root.querySelectorAll('details')) {
      details.open = opened.has(details.querySelector('summary').textContent);
    }
  }

  summaries(which) {
    const all = [...this.root.querySelectorAll('details')].filter(which);
    return all.map((details) => details.querySelector('summary').textContent);
  }

  clear() {
    this.root.replaceChildren();
  }
}

function cut(text, at) {
  const where = text.indexOf(at);
  return where < 0 ? [text, ''] : [text.slice(0, where), text.slice(where + at.length)];
}

function lower(heading) {
  heading.setAttribute('aria-level', String(Number(heading.tagName[1]) + 2));
}
