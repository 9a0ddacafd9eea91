import { Lexer, type LineCounter } from 'yaml';
import type { YardError } from './errors.ts';
import { DEEPEST } from './tree.ts';
import { yamlError } from './yaml-words.ts';

/** Looks at a text before YAML does: its size, its letters, its brackets. */

/** A yard of hundreds of props is some 100 KiB; what is over this is no yard file. */
export const LARGEST_BYTES = 1024 * 1024;

export function sizeError(text: string): YardError | null {
  const bytes = Buffer.byteLength(text);
  if (bytes <= LARGEST_BYTES) return null;
  const size = `${(bytes / LARGEST_BYTES).toFixed(1)} MiB`;
  return {
    line: 1,
    column: 1,
    path: '',
    found: size,
    wanted: 'a file of at most 1 MiB',
    example: '',
    message: `Line 1: the file has ${size}; a yard file has 1 MiB at most. Is this the right file?`,
  };
}

/** Control characters but tab and line ends, halves of surrogate pairs, and what Unicode keeps unassigned for ever. */
const NO_TEXT = /(?![\t\n\r])\p{Cc}|\p{Cs}|[\ufffe\uffff]/u;

export function characterError(text: string, lines: LineCounter): YardError | null {
  const bad = NO_TEXT.exec(text);
  if (!bad) return null;
  const code = bad[0].charCodeAt(0).toString(16).toUpperCase().padStart(4, '0');
  const say = `there is a character that no text has (U+${code}). Was the file saved by a text editor, as UTF-8?`;
  return {
    ...yamlError(text, lines, bad.index, bad.index, say, 'plain text in UTF-8', ''),
    found: `U+${code}`,
  };
}

/** Columns to which the start of a line may be indented, and brackets opened within each other. */
const WIDEST_INDENT = 200;
const MOST_ON_A_LINE = 20;

/**
 * Finds nesting that no yard has, by the lexer alone, which needs no stack. It must come first: the parser calls itself
 * for each level, and overflowing inside a regular expression ends the whole process.
 */
export function shapeError(text: string, lines: LineCounter): YardError | null {
  let at = 0;
  let literal = false;
  let leading = true;
  let marks = 0;
  const open: number[] = [];
  const deep = (): YardError =>
    yamlError(
      text,
      lines,
      at,
      at + 1,
      `this is nested deeper than any yard file. Is a bracket left open?`,
      'at most a few levels',
      '',
    );
  for (const token of new Lexer().lex(text)) {
    // The lexer's own marks are not in the text; after U+001F comes the text of a value.
    if (token === '\u0002' || token === '\u0018') continue;
    if (token === '\u001f') {
      literal = true;
      continue;
    }
    if (!literal && (token === '[' || token === '{')) {
      open.push(at);
      if (open.length > DEEPEST - 8) return deep();
    } else if (!literal && (token === ']' || token === '}')) {
      const opener = open.pop();
      const pair = token === ']' ? '[' : '{';
      if (opener !== undefined && text[opener] !== pair) {
        const where = lines.linePos(opener);
        const say = `this \`${token}\` comes while the \`${text[opener]}\` of line ${where.line}, column ${where.col}, is still open. Close that first.`;
        return yamlError(
          text,
          lines,
          at,
          at + 1,
          say,
          'brackets in pairs',
          text[opener] === '[' ? '[a, b]' : '{a: 1}',
        );
      }
      if (opener === undefined) {
        const say = `this \`${token}\` closes nothing. Take it out, or open it with \`${pair}\`.`;
        return yamlError(
          text,
          lines,
          at,
          at + 1,
          say,
          'brackets in pairs',
          token === ']' ? '[a, b]' : '{a: 1}',
        );
      }
    } else if (!literal && (token === '-' || token === '?' || token === ':')) {
      marks += 1;
      if (open.length === 0 && marks > MOST_ON_A_LINE) return deep();
    }
    if (leading && open.length === 0 && token.trim() !== '') {
      if (at - text.lastIndexOf('\n', at) - 1 > WIDEST_INDENT) return deep();
      if (literal || (token !== '-' && token !== '?')) leading = false;
    }
    if (token.includes('\n') || token.includes('\r')) {
      leading = true;
      marks = 0;
    }
    at += token.length;
    literal = false;
  }
  return null;
}
