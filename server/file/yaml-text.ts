import { type Document, isCollection, Lexer, LineCounter, parseDocument, visit, type YAMLError } from 'yaml';
import { inOrder, type YardError } from './errors.ts';
import { DEEPEST, plant, shorten, type Tree } from './tree.ts';

/** A yard of hundreds of props is some 100 KiB; what is over this is no yard file. */
export const LARGEST_BYTES = 1024 * 1024;

export type Parsed =
  | { readonly ok: true; readonly tree: Tree; readonly lines: LineCounter; readonly errors: YardError[] }
  | { readonly ok: false; readonly errors: YardError[] };

/**
 * Reads YAML 1.2 into a tree. Where the text is no YAML only those errors are told, since what follows them would be
 * guesses; a name that stands twice is an error beside which the rest is still read.
 */
export function parseText(text: string): Parsed {
  const lines = new LineCounter();
  lines.addNewLine(0);
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lines.addNewLine(at + 1);
  const bad = sizeError(text) ?? characterError(text, lines) ?? shapeError(text, lines);
  if (bad) return { ok: false, errors: [bad] };

  let doc: Document.Parsed;
  try {
    doc = parseDocument(text, {
      version: '1.2',
      prettyErrors: false,
      uniqueKeys: false,
      lineCounter: new LineCounter(),
      logLevel: 'silent',
    }) as Document.Parsed;
  } catch (error) {
    const say = `this is no YAML that can be read (${error instanceof Error ? error.message : String(error)}).`;
    return { ok: false, errors: [yamlError(text, lines, 0, 0, say, 'a YAML file', 'yard: {id: saltmarsh}')] };
  }
  const errors = [...doc.errors, ...doc.warnings].map((e) => told(text, lines, doc, e));
  if (doc.directives?.yaml.version === '1.1' || doc.directives?.yaml.explicit === true) {
    if (doc.directives.yaml.version !== '1.2') {
      const say = 'a yard file is YAML 1.2. Take the line that begins with `%YAML` out.';
      errors.push(yamlError(text, lines, 0, 0, say, 'YAML 1.2', '%YAML 1.2'));
    }
  }
  if (errors.length > 0) return { ok: false, errors: firstOnes(errors) };
  const planted = plant(text, doc, lines);
  if (planted.tree === null) return { ok: false, errors: planted.errors };
  return { ok: true, tree: planted.tree, lines, errors: planted.errors };
}

/** One slip in YAML drags others behind it: the first three are worth reading, each line once. */
function firstOnes(errors: YardError[]): YardError[] {
  const lines = new Set<number>();
  // A tab shifts everything behind it.
  const tabs = errors.filter((e) => e.wanted === TAB[1]);
  return inOrder(tabs.length > 0 ? tabs : errors)
    .filter((e) => !lines.has(e.line) && lines.add(e.line))
    .slice(0, 3);
}

function yamlError(
  text: string,
  lines: LineCounter,
  at: number,
  end: number,
  say: string,
  wanted: string,
  example: string,
): YardError {
  const pos = lines.linePos(Math.min(at, text.length));
  const line = Math.max(1, pos.line);
  const found = shorten(text.slice(at, end));
  return {
    line,
    column: Math.max(1, pos.col),
    path: '',
    found,
    wanted,
    example,
    message: `Line ${line}: ${say}`,
  };
}

function sizeError(text: string): YardError | null {
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

function characterError(text: string, lines: LineCounter): YardError | null {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
  const bad =
    /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.exec(
      text,
    );
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
function shapeError(text: string, lines: LineCounter): YardError | null {
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

/** Says a YAML error so that it helps someone who does not know the word for what is missing. */
function told(text: string, lines: LineCounter, doc: Document.Parsed, error: YAMLError): YardError {
  const [at, end] = error.pos;
  const [say, wanted, example, from] = sentence(text, lines, doc, error);
  const start = from ?? at;
  return yamlError(text, lines, start, Math.max(end, start + 1), say, wanted, example);
}

type Said = readonly [say: string, wanted: string, example: string, at?: number];

const TAB: Said = [
  'there is a tab before the text. YAML is indented by spaces only: two for each level.',
  'spaces instead of tabs',
  '  title: Ferry',
];

function sentence(text: string, lines: LineCounter, doc: Document.Parsed, error: YAMLError): Said {
  const [at, end] = error.pos;
  const here = shorten(text.slice(at, Math.max(end, at + 1)));
  switch (error.code) {
    case 'TAB_AS_INDENT':
      return TAB;
    case 'BAD_INDENT': {
      const unclosed = openedAt(doc, at, error.message);
      if (unclosed !== null) {
        const mark = text[unclosed]!;
        const say = `the \`${mark}\` here is never closed. Add a \`${mark === '[' ? ']' : '}'}\`.`;
        return [say, 'brackets in pairs', mark === '[' ? '[a, b]' : '{a: 1}', unclosed];
      }
      return [
        'this line is indented differently from its neighbours. Keys that belong together begin in the same column.',
        'the same number of spaces',
        '  near: end',
      ];
    }
    case 'BLOCK_AS_IMPLICIT_KEY':
    case 'MULTILINE_IMPLICIT_KEY':
      return multiline(text, at);
    case 'BAD_SCALAR_START':
      return [
        `a text can't begin with \`${text[at]}\` here. Put it in quotes.`,
        'text in quotes',
        `"${shorten(text.slice(at).split('\n')[0]!)}"`,
      ];
    case 'MISSING_CHAR':
      if (error.message.includes('quote')) {
        const say = 'a quote opened here is never closed. Add the closing one.';
        return [say, 'quotes in pairs', '"22:30"', quotedAt(doc, at) ?? at];
      }
      return [
        'something is missing here: a colon with a space after it, or a comma. (`key: value`)',
        'key: value',
        'title: Ferry',
      ];
    case 'BAD_DQ_ESCAPE':
      return [
        `inside double quotes \`${here}\` has a meaning of its own that YAML doesn't know. Use single quotes.`,
        'single quotes',
        "'C:\\file'",
      ];
    case 'MULTIPLE_DOCS':
      return ['a second document begins here (`---`). A yard file is one document.', 'one document', ''];
    case 'TAG_RESOLVE_FAILED':
      return [
        `\`${here}\` is a tag, and a yard file has none. Write the plain value.`,
        'a plain value',
        'title: Ferry',
      ];
    case 'BAD_DIRECTIVE':
      return [
        'a line that begins with `%` is a directive, and a yard file needs none. Take it out.',
        'no directive',
        '',
      ];
    case 'UNEXPECTED_TOKEN':
      return [
        `\`${here}\` is in the wrong place. Is a comma, a quote or a line end missing before it, or a bracket too many?`,
        'key: value',
        '[near, far]',
      ];
    default:
      return [
        `YAML stumbles here: ${lowerFirst(error.message)}.`,
        'valid YAML',
        `see line ${lines.linePos(at).line}`,
      ];
  }
}

function multiline(text: string, at: number): Said {
  const line = text.slice(text.lastIndexOf('\n', at - 1) + 1).split('\n')[0]!;
  if (/:\s.*:\s/u.test(line) && !/["'{[]/u.test(line)) {
    return [
      'there are two `key: value` on one line, or text with a colon in it. Start a new line, or put the text in quotes.',
      'one key on a line',
      'title: "The crossing: part two"',
    ];
  }
  return [
    'a line here has no `key:` of its own, or is indented deeper than the one above it. Each line is `key: value`, with a space after the colon.',
    'key: value',
    'title: Ferry',
  ];
}

/** Where the quoted text begins that is said to be open, for an error at its end. */
function quotedAt(doc: Document.Parsed, at: number): number | null {
  let opened: number | null = null;
  visit(doc, {
    Scalar(_, node) {
      if (node.type?.startsWith('QUOTE') && node.range && node.range[0] < at && node.range[1] >= at - 1) {
        opened = node.range[0];
      }
    },
  });
  return opened;
}

/** Where the bracket stands that is said to be open, for an error at its end. */
function openedAt(doc: Document.Parsed, at: number, message: string): number | null {
  if (!/must be sufficiently indented and end with/u.test(message)) return null;
  let opened: number | null = null;
  visit(doc, {
    Collection(_, node) {
      if (isCollection(node) && node.flow && node.range && node.range[0] < at && node.range[1] >= at - 1) {
        opened = node.range[0];
      }
    },
  });
  return opened;
}

function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
