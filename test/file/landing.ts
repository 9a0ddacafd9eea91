import { readFileSync } from 'node:fs';
import { readYard, type YardError } from '../../server/file/read.ts';
import type { Yard } from '../../server/yard/types.ts';

/** The yard file beside this one, which uses every key, with its braces closed up as many people write them. */
export const LANDING = readFileSync(new URL('landing.yaml', import.meta.url), 'utf8')
  .replaceAll('{ ', '{')
  .replaceAll(' }', '}');

/** Years through which nights are looked at in tests, whatever today is. */
export const YEARS = { from: 2026, to: 2027 };

/** The landing with one text put for another; each pair is one change. Fails where the text is not there. */
export function landing(...changes: readonly (readonly [from: string, to: string])[]): string {
  return changed(LANDING, ...changes);
}

export function changed(text: string, ...changes: readonly (readonly [from: string, to: string])[]): string {
  let out = text;
  for (const [from, to] of changes) {
    if (!out.includes(from)) throw new Error(`the landing has no ${from}`);
    out = out.replace(from, () => to);
  }
  return out;
}

/** A text in which `«` stands where an error is expected: the text without it, and the place. */
export function marked(text: string): { text: string; line: number; column: number } {
  const at = text.indexOf('«');
  if (at < 0 || text.indexOf('«', at + 1) >= 0) throw new Error('one mark is wanted');
  const before = text.slice(0, at).split('\n');
  return { text: text.replace('«', ''), line: before.length, column: before.at(-1)!.length + 1 };
}

export function errorsIn(text: string): YardError[] {
  const read = readYard(text, undefined, YEARS);
  return read.ok ? [] : read.errors;
}

/** The yard of a text that must read well. */
export function yardOf(text: string): Yard {
  const read = readYard(text, undefined, YEARS);
  if (!read.ok) throw new Error(read.errors.map((e) => e.message).join('\n'));
  return read.yard;
}

export function notesIn(text: string): string[] {
  const read = readYard(text, undefined, YEARS);
  if (!read.ok) throw new Error(read.errors.map((e) => e.message).join('\n'));
  return read.notes.map((n) => `${n.line}: ${n.message}`);
}
