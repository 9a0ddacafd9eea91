import type { Tongue } from '../words/tongue.ts';

/**
 * A page without script or style sheet, for where the real one can't be shown: every page that is served carries the
 * stop, these too. The words are our own, never a caller's.
 */
export function plainPage(title: string, sentences: readonly string[], { lang, plain }: Tongue): string {
  const text = sentences.map((s) => `<p>${escaped(s)}</p>`).join('\n');
  return `<!doctype html>
<html lang="${lang}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${escaped(title)}</title>
</head>
<body style="font: 1.25rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 40rem; padding: 1rem 1rem 9rem; background: Canvas; color: CanvasText">
<main>
<h1>${escaped(title)}</h1>
${text}
<p><a href="/" style="display: inline-block; padding: 0.75rem 0">${escaped(plain.yardPage)}</a></p>
<p>${escaped(plain.convenience)}</p>
<div style="${BAR}">
<form method="post" action="/api/stop">
<button style="${BUTTON}">${escaped(plain.stopAll)}</button>
</form>
</div>
</main>
</body>
</html>
`;
}

/** In reach wherever one has scrolled. The browser's own ground is dark where its owner wants that: at night a white page blinds. */
const BAR =
  'position: fixed; left: 0; right: 0; bottom: 0; margin: 0; padding: 0.5rem 0.5rem 1.5rem; background: Canvas';
const BUTTON =
  'width: 100%; min-height: 4.5rem; font: bold 2rem system-ui, sans-serif; color: #fff; background: #b5121e; border: 0; border-radius: 10px';

function escaped(text: string): string {
  return text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`);
}
