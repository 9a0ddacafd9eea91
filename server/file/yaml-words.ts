import { type Document, isCollection, type LineCounter, visit, type YAMLError } from 'yaml';
import type { YardError } from './errors.ts';
import { shorten } from './tree.ts';

/** An error at a place in the text; `end` bounds what is shown of it. */
export function yamlError(
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

/** Says a YAML error so that it helps someone who does not know the word for what is missing. */
export function told(text: string, lines: LineCounter, doc: Document.Parsed, error: YAMLError): YardError {
  const [at, end] = error.pos;
  const [say, wanted, example, from] = sentence(text, lines, doc, error);
  let start = from ?? at;
  while (text[start] === ' ') start += 1;
  return yamlError(text, lines, start, Math.max(end, start + 1), say, wanted, example);
}

type Said = readonly [say: string, wanted: string, example: string, at?: number];

export const TAB: Said = [
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
