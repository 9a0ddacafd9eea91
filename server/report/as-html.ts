import type { Section, Told } from './tables.ts';

/** Colours meet 4.5 : 1 (WCAG 2.2, 1.4.3) in both schemes; printed, it is black on white. */
const STYLE = `
:root { color-scheme: light dark; }
body { margin: 0 auto; max-width: 64rem; padding: 1rem; font: 1rem/1.5 system-ui, sans-serif;
  background: #f1f1ef; color: #1b1b1b; }
h1 { font-size: 1.4rem; line-height: 1.2; } h2 { font-size: 1.1rem; margin: 1.5rem 0 .3rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .2rem .9rem .2rem 0; border-bottom: 1px solid #9a9a96; }
td { overflow-wrap: anywhere; min-width: 3ch; }
@media (prefers-color-scheme: dark) { body { background: #1c1c1c; color: #e6e6e3; } }
@media print { body { background: #ffffff; color: #000000; } h2 { break-after: avoid; } }
`;

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

const html = (text: string): string => text.replace(/[&<>"]/g, (c) => ESCAPES[c]!);

/** The report as one page that stands by itself: no script, nothing from elsewhere, to be kept, sent or printed. */
export function reportHtml(told: Told): string {
  const title = html(told.title);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<h1>${title}</h1>
${told.sections.map(sectionHtml).join('\n')}
</main>
</body>
</html>
`;
}

function sectionHtml({ title, notes, head, rows }: Section): string {
  const said = notes.map((n) => `<p>${html(n)}</p>`);
  return [`<h2>${html(title)}</h2>`, ...said, ...(rows.length === 0 ? [] : [table(title, head, rows)])].join(
    '\n',
  );
}

/** A wide table scrolls in a region of its own, which the keyboard reaches. */
function table(title: string, head: readonly string[], rows: readonly (readonly string[])[]): string {
  const top = head.map((h) => `<th scope="col">${html(h)}</th>`).join('');
  const body = rows.map((r) => `<tr>${r.map((c) => `<td>${html(c)}</td>`).join('')}</tr>`).join('\n');
  return `<div class="wide" role="region" aria-label="${html(title)}" tabindex="0">\n<table>\n<thead><tr>${top}</tr></thead>\n<tbody>\n${body}\n</tbody>\n</table>\n</div>`;
}
