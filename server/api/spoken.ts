import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { english } from '../words/en/english.ts';
import type { PlainWords, Tongue } from '../words/tongue.ts';

/** The files of the build that bear words before any script runs, and where they are asked for. */
export const SPOKEN: readonly (readonly [paths: string[], file: string])[] = [
  [['/', '/index.html'], 'index.html'],
  [['/manifest.webmanifest'], 'manifest.webmanifest'],
];

const WORDS = ['about', 'stopAll', 'hint', 'loading', 'ifItStays'] as const satisfies (keyof PlainWords)[];

/**
 * A file of the build with its words and its `lang` in another language; the script then speaks the document's. The stop
 * is labelled right before anything else is there, and the language's own part of the script comes with the rest.
 */
export async function spoken(webDir: string, file: string, tongue: Tongue): Promise<string> {
  const text = inTongue(await readFile(join(webDir, file), 'utf8'), tongue);
  const part = await partOf(webDir, tongue);
  if (part === null) return text;
  return text.replace('</head>', `<link rel="modulepreload" crossorigin href="/assets/${part}">\n  </head>`);
}

/** Words as they stand whole between tags or quotes; nothing else is touched. */
function inTongue(text: string, { lang, plain }: Tongue): string {
  return WORDS.reduce(
    (done, word) =>
      done
        .replaceAll(`>${english.plain[word]}<`, `>${plain[word]}<`)
        .replaceAll(`"${english.plain[word]}"`, `"${plain[word]}"`),
    text.replace('<html lang="en"', `<html lang="${lang}"`),
  );
}

/** The part of the script that has this language's words: the build names it after the language and its content. */
async function partOf(webDir: string, { lang }: Tongue): Promise<string | null> {
  const names = await readdir(join(webDir, 'assets')).catch(() => []);
  return names.find((name) => name.startsWith(`${lang}-`) && name.endsWith('.js')) ?? null;
}
