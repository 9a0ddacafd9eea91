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

/** Brackets left open after which no more is looked at. */
const MOST_LEFT = 50;

/** What is wanted of brackets. */
export const PAIRS = 'brackets in pairs';

/** Columns to which the start of a line may be indented, marks of lists and keys on one line outside brackets. */
const WIDEST_INDENT = 200;
const MOST_ON_A_LINE = 20;

/**
 * Finds brackets that are never closed, and nesting that no yard has, by the lexer alone, which needs no stack. It must
 * come first: the parser calls itself for each level, and overflowing inside a regular expression ends the whole process.
 */
export function shapeOf(text: string, lines: LineCounter): Shape {
  const open: number[] = [];
  const left: Shape['left'][number][] = [];
  const leave = (end: number): void => {
    for (const at of open.splice(0)) left.push({ at, end, error: leftOpen(text, lines, at) });
  };
  const shape = (bad: YardError | null): Shape => ({ bad, left });
  let leading = true;
  let marks = 0;
  for (const { token, at, literal } of tokensOf(text)) {
    if (token === FLOW_END) {
      leave(at);
      // Far more than are told, and each is slow to parse.
      if (left.length >= MOST_LEFT) return shape(left[0]!.error);
      continue;
    }
    const bracket = literal ? null : bracketError(text, lines, open, token, at);
    if (bracket) return shape(bracket);
    const mark = !literal && (token === '-' || token === '?');
    if (open.length === 0) {
      if (mark || (!literal && token === ':')) marks += 1;
      const starts = leading && token.trim() !== '';
      const indent = starts ? at - text.lastIndexOf('\n', at) - 1 : 0;
      if (marks > MOST_ON_A_LINE || indent > WIDEST_INDENT) return shape(tooDeep(text, lines, at));
      if (starts && !mark) leading = false;
    }
    if (/[\n\r]/u.test(token)) {
      leading = true;
      marks = 0;
    }
  }
  leave(text.length);
  return shape(null);
}

export interface Shape {
  /** What the parser must not be given. */
  readonly bad: YardError | null;
  /** Brackets that nothing closes: where each stands and how far what it opened reaches. */
  readonly left: readonly { readonly at: number; readonly end: number; readonly error: YardError }[];
}

function leftOpen(text: string, lines: LineCounter, at: number): YardError {
  const list = text[at] === '[';
  const say = `the \`${text[at]}\` here is never closed. Add a \`${list ? ']' : '}'}\`.`;
  return yamlError(text, lines, at, at + 100, say, PAIRS, list ? '[a, b]' : '{a: 1}');
}

interface Token {
  readonly token: string;
  readonly at: number;
  /** The text of a plain or block value, whatever it looks like. */
  readonly literal: boolean;
}

/** The lexer's mark where indentation ends what a bracket opened. */
const FLOW_END = '\u0018';

function* tokensOf(text: string): Generator<Token> {
  let at = 0;
  let literal = false;
  for (const token of new Lexer().lex(text)) {
    // The lexer's own marks are not in the text; after U+001F comes the text of a value.
    if (token === '\u001f') literal = true;
    else if (token === FLOW_END) yield { token, at, literal: false };
    else if (token !== '\u0002') {
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
    yamlError(text, lines, at, at + 1, say, PAIRS, example);
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
