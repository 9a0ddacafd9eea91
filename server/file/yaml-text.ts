import { type Document, LineCounter, parseDocument } from 'yaml';
import { inOrder, type YardError } from './errors.ts';
import { plant, type Tree } from './tree.ts';
import { characterError, shapeError, sizeError } from './yaml-shape.ts';
import { TAB, told, yamlError } from './yaml-words.ts';

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
      logLevel: 'error',
    }) as Document.Parsed;
  } catch (error) {
    const say = `this is no YAML that can be read (${error instanceof Error ? error.message : String(error)}).`;
    return { ok: false, errors: [yamlError(text, lines, 0, 0, say, 'a YAML file', 'yard: {id: saltmarsh}')] };
  }
  const errors = [...doc.errors, ...doc.warnings]
    .slice(0, MOST_LOOKED_AT)
    .map((e) => told(text, lines, doc, e));
  if (doc.directives?.yaml.version === '1.1') {
    const say = 'a yard file is YAML 1.2. Take the line that begins with `%YAML` out.';
    errors.push(yamlError(text, lines, 0, 0, say, 'YAML 1.2', '%YAML 1.2'));
  }
  if (errors.length > 0) return { ok: false, errors: firstOnes(errors) };
  const planted = plant(text, doc, lines);
  return { ok: true, tree: planted.tree, lines, errors: planted.errors };
}

/** Three of them are told; a hostile file has half a million. */
const MOST_LOOKED_AT = 50;

/** One slip in YAML drags others behind it: the first three are worth reading, each line once. */
function firstOnes(errors: YardError[]): YardError[] {
  const lines = new Set<number>();
  // A tab shifts everything behind it.
  const tabs = errors.filter((e) => e.wanted === TAB[1]);
  return inOrder(tabs.length > 0 ? tabs : errors)
    .filter((e) => !lines.has(e.line) && lines.add(e.line))
    .slice(0, 3);
}
