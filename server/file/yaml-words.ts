import { type Document, type ErrorCode, type LineCounter, visit, type YAMLError } from 'yaml';
import { NOTHING, type YardError } from './errors.ts';
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
  const found = shorten(text.slice(at, end)) || NOTHING;
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

/** What is said of an error whatever stands there. */
const SAID: Partial<Record<ErrorCode, Said>> = {
  TAB_AS_INDENT: TAB,
  BAD_INDENT: [
    'this line is indented differently from its neighbours. Keys that belong together begin in the same column.',
    'the same number of spaces',
    '  near: end',
  ],
  MISSING_CHAR: [
    'something is missing here: a colon with a space after it, or a comma. (`key: value`)',
    'key: value',
    'title: Ferry',
  ],
  BLOCK_IN_FLOW: [
    'a comma or a bracket is missing. Inside `{ }` and `[ ]` a comma stands between two entries, and what belongs to a key has brackets of its own.',
    'brackets in pairs, commas between entries',
    '{lasts: 45 s, load: {dock: 2 A}}',
  ],
  MULTIPLE_DOCS: ['a second document begins here (`---`). A yard file is one document.', 'one document', ''],
  BAD_DIRECTIVE: [
    'a line that begins with `%` is a directive, and a yard file needs none. Take it out.',
    'no directive',
    '',
  ],
};

function sentence(text: string, lines: LineCounter, doc: Document.Parsed, error: YAMLError): Said {
  const { code, message } = error;
  const [at, end] = error.pos;
  const here = shorten(text.slice(at, Math.max(end, at + 1)));
  const said = opened(doc, error) ?? SAID[code];
  if (said) return said;
  switch (code) {
    case 'BLOCK_AS_IMPLICIT_KEY':
    case 'MULTILINE_IMPLICIT_KEY':
      return multiline(text, at);
    case 'BAD_SCALAR_START': {
      const quoted = `"${shorten(text.slice(at).split('\n')[0]!)}"`;
      return [`a text can't begin with \`${text[at]}\` here. Put it in quotes.`, 'text in quotes', quoted];
    }
    case 'BAD_DQ_ESCAPE': {
      const say = `inside double quotes \`${here}\` has a meaning of its own that YAML doesn't know. Use single quotes.`;
      return [say, 'single quotes', "'C:\\file'"];
    }
    case 'TAG_RESOLVE_FAILED': {
      const say = `\`${here}\` is a tag, and a yard file has none. Write the plain value.`;
      return [say, 'a plain value', 'title: Ferry'];
    }
    case 'UNEXPECTED_TOKEN': {
      const say = `\`${here}\` is in the wrong place. Is a comma, a quote or a line end missing before it, or a bracket too many?`;
      return [say, 'key: value', '[near, far]'];
    }
    default: {
      const say = `YAML stumbles here: ${message.charAt(0).toLowerCase()}${message.slice(1)}.`;
      return [say, 'valid YAML', `see line ${lines.linePos(at).line}`];
    }
  }
}

export function isOpenQuote({ code, message }: YAMLError): boolean {
  return code === 'MISSING_CHAR' && message.includes('quote');
}

/** A quote that is never closed is told where it was opened, not where the text ends. */
function opened(doc: Document.Parsed, error: YAMLError): Said | null {
  const [at] = error.pos;
  if (!isOpenQuote(error)) return null;
  const say = 'a quote opened here is never closed. Add the closing one.';
  return [say, 'quotes in pairs', '"22:30"', quotedAt(doc, at) ?? at];
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
