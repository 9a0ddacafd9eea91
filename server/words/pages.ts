import { FAULT_CODES, type Fault, type FaultCode } from '../show/reasons.ts';
import type { Tongue } from './tongue.ts';

/** A page for people: whole HTML without script, pictures or anything from elsewhere. */
export interface Page {
  readonly title: string;
  readonly html: string;
}

/** Where the daemon serves a fault's page; the index is the folder itself. */
export const FAULT_PAGES_PATH = '/faults/';

export function faultPagePath(code: FaultCode): string {
  return `${FAULT_PAGES_PATH}${code}`;
}

export function isFaultCode(text: string): text is FaultCode {
  return (FAULT_CODES as readonly string[]).includes(text);
}

/**
 * What stands between the style tags of every page, to the letter: whoever serves them allows this by its hash.
 * The colours are those of web/tokens.css by day and at dusk, and meet 4.5 : 1 (WCAG 2.2, 1.4.3); the stop bar is 48 px
 * high and more.
 */
export const PAGE_STYLE = `
:root { color-scheme: light dark; }
body { margin: 0 auto; max-width: 42rem; padding: 1rem 1rem 8rem; font: 1.05rem/1.5 system-ui, sans-serif;
  background: #d3d6d7; color: #14181a; }
h1 { font-size: 1.5rem; line-height: 1.2; } h2 { font-size: 1.15rem; margin: 1.5rem 0 .3rem; }
code { font-size: 1rem; } li { margin: .3rem 0; } a { color: #0a4d94; }
.caution { border: 2px solid #744600; padding: .5rem .8rem; }
form { position: fixed; left: 0; right: 0; bottom: 0; margin: 0; padding: .5rem .5rem 1.5rem; background: #d3d6d7; }
button { width: 100%; min-height: 64px; font: bold 1.4rem system-ui, sans-serif; border: 0; border-radius: 10px;
  background: #b5121e; color: #fff; }
@media (prefers-color-scheme: dark) {
  body { background: #171b1d; color: #e6e9ea; } a { color: #8cc1f8; } form { background: #171b1d; }
  .caution { border-color: #f0b03f; } button { background: #d3303a; }
}
`;

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** Text for HTML; what stands between backticks is set as code. */
function html(text: string): string {
  return text.replace(/[&<>"]/g, (c) => ESCAPES[c] ?? c).replace(/`([^`]+)`/g, '<code>$1</code>');
}

function paragraphs(texts: readonly string[]): string {
  return texts.map((t) => `<p>${html(t)}</p>`).join('\n');
}

function list(tag: 'ol' | 'ul', items: readonly string[]): string {
  return `<${tag}>\n${items.map((t) => `<li>${html(t)}</li>`).join('\n')}\n</${tag}>`;
}

function page(title: string, body: string, { lang, plain }: Tongue): Page {
  const head = `<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>${html(title)}</title>\n<style>${PAGE_STYLE}</style>`;
  const stop = `<form method="post" action="/api/stop"><button type="submit">${html(plain.stopAll)}</button></form>`;
  return {
    title,
    html: `<!doctype html>\n<html lang="${lang}">\n<head>\n${head}\n</head>\n<body>\n${body}\n${stop}\n</body>\n</html>\n`,
  };
}

/** What a release of this kind will and won't do, from the same words as the lockout's card. */
export function faultPage(code: FaultCode, tongue: Tongue): Page {
  const words = tongue.faults[code];
  const title = tongue.titles[code];
  const said = tongue.pages;
  // a fault without figures: the words then speak of 'its move' and 'the sensor'
  const plain: Fault = { code, prop: '', at: 0 };
  const heading = (text: string): string => `<h2>${html(text)}</h2>\n`;
  const body = [
    `<main>\n<h1>${html(title)}</h1>`,
    `<p>${said.fault(`<code>${code}</code>`)} ${html(words.page.means)}</p>`,
    heading(said.rule) + paragraphs([words.page.rule]),
    heading(said.now) + paragraphs([words.page.now]),
    `<p class="caution">${html(said.handsIn)}</p>`,
    heading(said.checks) + list('ol', words.checks(plain)),
    heading(said.causes) + list('ol', words.causes(plain)),
    heading(said.find) + paragraphs(words.page.find),
    heading(said.will) + paragraphs([words.releaseWill]),
    heading(said.wont) + paragraphs([words.releaseWont]),
    heading(said.prevent) + paragraphs([words.page.prevent]),
    `<p class="caution">${html(tongue.notice.redButton)}</p>`,
    `<p><a href="${FAULT_PAGES_PATH}">${html(said.all)}</a> · <a href="/">${html(said.yard)}</a></p>\n</main>`,
  ].join('\n');
  return page(title, body, tongue);
}

/** All faults in the order of their list, each with a line and a link to its page; then the cautions. */
export function faultIndex(tongue: Tongue): Page {
  const { pages, titles, faults, notice } = tongue;
  const rows = FAULT_CODES.map(
    (code) =>
      `<li><a href="${faultPagePath(code)}">${html(titles[code])}</a> (<code>${code}</code>). ${html(faults[code].page.means)}</li>`,
  );
  const body = [
    `<main>\n<h1>${html(pages.index)}</h1>`,
    paragraphs([pages.intro]),
    `<ul>\n${rows.join('\n')}\n</ul>`,
    `<h2>${html(pages.cautions)}</h2>`,
    list('ul', notice.cautions),
    `<p><a href="/">${html(pages.yard)}</a></p>\n</main>`,
  ].join('\n');
  return page(pages.index, body, tongue);
}
