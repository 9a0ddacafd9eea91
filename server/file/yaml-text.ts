import { type Document, LineCounter, parseDocument, type YAMLError } from 'yaml';
import { inOrder, type YardError } from './errors.ts';
import { plant, type Tree } from './tree.ts';
import { characterError, PAIRS, type Shape, shapeOf, sizeError } from './yaml-shape.ts';
import { isOpenQuote, TAB, told, yamlError } from './yaml-words.ts';

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
  const bad = sizeError(text) ?? characterError(text, lines);
  if (bad) return { ok: false, errors: [bad] };
  const shape = shapeOf(text, lines);
  if (shape.bad) return { ok: false, errors: firstOnes([...shape.left.map((l) => l.error), shape.bad]) };

  let doc: Document.Parsed;
  try {
    doc = parseDocument(text, {
      version: '1.2',
      prettyErrors: false,
      uniqueKeys: false,
      lineCounter: new LineCounter(),
      logLevel: 'error',
    }) as Document.Parsed;
  } catch (error) {
    const say = `this is no YAML that can be read (${error instanceof Error ? error.message : String(error)}).`;
    return { ok: false, errors: [yamlError(text, lines, 0, 0, say, 'a YAML file', 'yard: {id: saltmarsh}')] };
  }
  const errors = errorsOf(text, lines, doc, shape.left);
  if (doc.directives?.yaml.version === '1.1') {
    const say = 'a yard file is YAML 1.2. Take the line that begins with `%YAML` out.';
    errors.push(yamlError(text, lines, 0, 0, say, 'YAML 1.2', '%YAML 1.2'));
  }
  if (errors.length > 0) return { ok: false, errors: firstOnes(errors) };
  const planted = plant(text, doc, lines);
  return { ok: true, tree: planted.tree, lines, errors: planted.errors };
}

/** What the parser found, without what follows only from brackets left open, and those brackets where they stand. */
function errorsOf(text: string, lines: LineCounter, doc: Document.Parsed, left: Shape['left']): YardError[] {
  const found = [...doc.errors, ...doc.warnings];
  const inside = (l: Shape['left'][number], { pos: [at] }: YAMLError): boolean => at > l.at && at <= l.end;
  // A quote left open has swallowed the closing bracket as well.
  const quotes = found.filter(isOpenQuote);
  const open = left.filter((l) => !quotes.some((q) => inside(l, q)));
  const own = found.filter((e) => isOpenQuote(e) || !left.some((l) => inside(l, e)));
  return [...open.map((l) => l.error), ...own.slice(0, MOST_LOOKED_AT).map((e) => told(text, lines, doc, e))];
}

/** Three of them are told; a hostile file has half a million. */
const MOST_LOOKED_AT = 50;

/** One slip in YAML drags others behind it: the first three are worth reading, each line once but for brackets. */
function firstOnes(errors: YardError[]): YardError[] {
  const seen = new Set<string>();
  const key = (e: YardError): string => `${e.line}:${e.wanted === PAIRS ? e.column : ''}`;
  // A tab shifts everything behind it.
  const tabs = errors.filter((e) => e.wanted === TAB[1]);
  return inOrder(tabs.length > 0 ? tabs : errors)
    .filter((e) => !seen.has(key(e)) && seen.add(key(e)))
    .slice(0, 3);
}
