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

/** Columns to which the start of a line may be indented, marks of lists and keys on one line outside brackets. */
const WIDEST_INDENT = 200;
const MOST_ON_A_LINE = 20;

/**
 * Finds nesting that no yard has, by the lexer alone, which needs no stack. It must come first: the parser calls itself
 * for each level, and overflowing inside a regular expression ends the whole process.
 */
export function shapeError(text: string, lines: LineCounter): YardError | null {
  const open: number[] = [];
  let leading = true;
  let marks = 0;
  for (const { token, at, literal } of tokensOf(text)) {
    const bracket = literal ? null : bracketError(text, lines, open, token, at);
    if (bracket) return bracket;
    const mark = !literal && (token === '-' || token === '?');
    if (open.length === 0) {
      if (mark || (!literal && token === ':')) marks += 1;
      const starts = leading && token.trim() !== '';
      const indent = starts ? at - text.lastIndexOf('\n', at) - 1 : 0;
      if (marks > MOST_ON_A_LINE || indent > WIDEST_INDENT) return tooDeep(text, lines, at);
      if (starts && !mark) leading = false;
    }
    if (/[\n\r]/u.test(token)) {
      leading = true;
      marks = 0;
    }
  }
  return null;
}

interface Token {
  readonly token: string;
  readonly at: number;
  /** The text of a plain or block value, whatever it looks like. */
  readonly literal: boolean;
}

function* tokensOf(text: string): Generator<Token> {
  let at = 0;
  let literal = false;
  for (const token of new Lexer().lex(text)) {
    // The lexer's own marks are not in the text; after U+001F comes the text of a value.
    if (token === '\u001f') literal = true;
    else if (token !== '\u0002' && token !== '\u0018') {
      yield { token, at, literal };
      at += token.length;
      literal = false;
    }
  }
}

/** Keeps count of the brackets that are open, and tells of one that closes nothing, another, or is one too deep. */
function bracketError(
  text: string,
  lines: LineCounter,
  open: number[],
  token: string,
  at: number,
): YardError | null {
  if (token === '[' || token === '{') {
    open.push(at);
    return open.length > DEEPEST - 8 ? tooDeep(text, lines, at) : null;
  }
  if (token !== ']' && token !== '}') return null;
  const opener = open.pop();
  const pair = token === ']' ? '[' : '{';
  const fail = (say: string, example: string): YardError =>
    yamlError(text, lines, at, at + 1, say, 'brackets in pairs', example);
  if (opener === undefined) {
    const say = `this \`${token}\` closes nothing. Take it out, or open it with \`${pair}\`.`;
    return fail(say, pair === '[' ? '[a, b]' : '{a: 1}');
  }
  if (text[opener] === pair) return null;
  const where = lines.linePos(opener);
  const say = `this \`${token}\` comes while the \`${text[opener]}\` of line ${where.line}, column ${where.col}, is still open. Close that first.`;
  return fail(say, text[opener] === '[' ? '[a, b]' : '{a: 1}');
}

function tooDeep(text: string, lines: LineCounter, at: number): YardError {
  const say = 'this is nested deeper than any yard file. Is a bracket left open?';
  return yamlError(text, lines, at, at + 1, say, 'at most a few levels', '');
}
