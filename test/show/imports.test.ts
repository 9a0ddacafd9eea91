import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const SERVER = new URL('../../server/', import.meta.url);
const filesIn = (room: string): string[] =>
  readdirSync(new URL(`${room}/`, SERVER))
    .filter((name) => name.endsWith('.ts'))
    .map((name) => `${room}/${name}`);
/** The core, and the arithmetic of travel times that it judges wear with, which is held to the same. */
const FILES = [...filesIn('show'), ...filesIn('trend')];
const textOf = (name: string): string => readFileSync(new URL(name, SERVER), 'utf8');

/** Code without comments and strings, so that a word in prose is no use of it. */
const codeOf = (text: string): string =>
  text
    .replace(/\/\*[\s\S]*?\*\//g, ' ')
    .replace(/\/\/.*$/gm, ' ')
    .replace(/'(?:[^'\\\n]|\\.)*'/g, "''");

interface Import {
  readonly from: string;
  readonly typeOnly: boolean;
}

const importsOf = (text: string): Import[] =>
  [...text.matchAll(/^(?:import|export)\s+(type\s+)?[^;]*?from '([^']+)';/gm)].map((m) => ({
    from: m[2]!,
    typeOnly: m[1] !== undefined,
  }));

/** What is above the core, and only as types: the shape of a night, and of the page's word for a prop's state. */
const TYPES_FROM = ['../plan/tonight.ts', '../picture.ts'];

describe('the core', () => {
  it('has files to read', () => expect(FILES.length).toBeGreaterThan(20));

  it.each(FILES)('%s imports only the core itself, the yard, the trends, and a few types', (name) => {
    const text = textOf(name);
    const imports = importsOf(text);
    // nothing gets by the reading: each `from` of the text is one that was read, and nothing is imported in passing
    expect(imports.length).toBe(codeOf(text).match(/\bfrom ''/g)?.length ?? 0);
    expect(codeOf(text)).not.toMatch(/\bimport\s*\(|\brequire\s*\(|\bimport ''/);
    for (const { from, typeOnly } of imports) {
      if (typeOnly && TYPES_FROM.includes(from)) continue;
      expect(from).toMatch(/^(\.|\.\.\/(?:yard|trend))\/[a-z-]+\.ts$/);
    }
  });

  it.each(FILES)('%s knows no clock, no chance, no timer, no I/O', (name) => {
    const code = codeOf(textOf(name));
    const worlds = [
      /\bDate\b/,
      /\bMath\.random\b/,
      /\bset(?:Timeout|Interval|Immediate)\b/,
      /\bqueueMicrotask\b/,
      /\bperformance\b/,
      /\bprocess\b/,
      /\bconsole\b/,
      /\bfetch\b/,
      /\bglobalThis\b/,
      /\bcrypto\b/,
      /\basync\b|\bawait\b|\bPromise\b/,
    ];
    for (const world of worlds) expect(code).not.toMatch(world);
  });

  it.each(FILES)('%s keeps nothing between steps but what is worked out from what it was given', (name) => {
    const code = codeOf(textOf(name));
    // a variable of the module would be state outside the show; a WeakMap remembers what was worked out of its key
    expect(code).not.toMatch(/^(?:export )?(?:let|var)\b/m);
    expect(code).not.toMatch(/^(?:export )?const \w+(?::[^=]*)? = new (?:Map|Set|Array)\b/m);
  });
});
