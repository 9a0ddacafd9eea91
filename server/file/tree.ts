import { type Document, isAlias, isMap, isScalar, isSeq, type LineCounter, type Node } from 'yaml';
import { NOTHING, type Path, type YardError } from './errors.ts';

/**
 * The file as a tree that knows where everything stands. Tables keep the order of the file even for names
 * that look like numbers, which JavaScript's own objects would sort first.
 */
export type Tree = Leaf | List | Table;

interface Span {
  /** Offsets into the text. */
  readonly at: number;
  readonly end: number;
}

export interface Leaf extends Span {
  readonly kind: 'leaf';
  readonly value: string | number | boolean | null;
}

export interface List extends Span {
  readonly kind: 'list';
  readonly items: Tree[];
}

export interface Table extends Span {
  readonly kind: 'table';
  readonly entries: Map<string, Entry>;
}

export interface Entry {
  readonly key: Span;
  readonly tree: Tree;
}

/** Tables and lists within each other, counting what aliases repeat. */
export const DEEPEST = 64;
/** Values in the file, counting what aliases repeat; a real yard has a few thousand. */
const MOST_ALIASED = 50_000;

interface Growth {
  readonly size: number;
  readonly depth: number;
}

export interface Planted {
  readonly tree: Tree;
  readonly errors: YardError[];
}

/** Turns a parsed document into a tree: aliases resolved, names checked for standing twice. */
export function plant(text: string, doc: Document.Parsed, lines: LineCounter): Planted {
  const errors: YardError[] = [];
  const anchors = new Map<string, Tree | null>();
  const growth = new Map<Tree, Growth>();
  let aliased = 0;

  const place = (at: number): { line: number; column: number } => {
    const pos = lines.linePos(Math.min(at, text.length));
    return { line: Math.max(1, pos.line), column: Math.max(1, pos.col) };
  };
  const fail = (at: number, end: number, say: string, wanted: string, example: string): void => {
    const where = place(at);
    const found = shorten(text.slice(at, end)) || NOTHING;
    errors.push({ ...where, path: '', found, wanted, example, message: `Line ${where.line}: ${say}` });
  };

  const grow = (tree: Tree, parts: readonly Tree[]): Tree => {
    let size = 1;
    let depth = 1;
    for (const part of parts) {
      const g = growth.get(part)!;
      size += g.size;
      depth = Math.max(depth, g.depth + 1);
    }
    growth.set(tree, { size, depth });
    return tree;
  };

  const convert = (node: Node | null, at: number): Tree => {
    if (isAlias(node)) return follow(node.source, spanOf(node, at));
    if (node?.anchor !== undefined) anchors.set(node.anchor, null);
    const tree = build(node, spanOf(node, at));
    if (node?.anchor !== undefined) anchors.set(node.anchor, tree);
    return tree;
  };

  const follow = (name: string, span: Span): Tree => {
    const target = anchors.get(name);
    const g = target && growth.get(target);
    if (!target || !g) {
      const why =
        target === null ? 'stands inside what it names' : `names nothing above it: there is no \`&${name}\``;
      fail(span.at, span.end, `the alias \`*${name}\` ${why}.`, 'an anchor that comes before', `&${name}`);
      return grow({ kind: 'leaf', value: null, ...span }, []);
    }
    aliased += g.size;
    if (aliased <= MOST_ALIASED && g.depth < DEEPEST) return target;
    fail(
      span.at,
      span.end,
      `the aliases up to \`*${name}\` repeat more than ${MOST_ALIASED} values or nest deeper than ${DEEPEST}. Write them out, or use fewer.`,
      'fewer aliases',
      '',
    );
    return grow({ kind: 'leaf', value: null, ...span }, []);
  };

  const build = (node: Node | null, span: Span): Tree => {
    if (isSeq(node)) {
      const items = node.items.map((item) => convert(item as Node | null, span.end));
      return grow({ kind: 'list', items, ...span }, items);
    }
    if (isMap(node)) {
      const entries = new Map<string, Entry>();
      for (const pair of node.items) {
        const key = pair.key as Node | null;
        const keySpan = spanOf(key, span.at);
        const name = nameOf(key, keySpan);
        const tree = convert(pair.value as Node | null, keySpan.end);
        if (name === null) continue;
        const before = entries.get(name);
        if (before) twice(name, before.key, keySpan);
        else entries.set(name, { key: keySpan, tree });
      }
      return grow(
        { kind: 'table', entries, ...span },
        [...entries.values()].map((e) => e.tree),
      );
    }
    const value = isScalar(node) ? node.value : null;
    const plain = typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
    return grow({ kind: 'leaf', value: plain ? value : null, ...span }, []);
  };

  const nameOf = (key: Node | null, span: Span): string | null => {
    if (isScalar(key) && key.value !== null && key.value !== '__proto__') return String(key.value);
    const shown = shorten(text.slice(span.at, span.end)) || 'nothing';
    fail(
      span.at,
      span.end,
      `\`${shown}\` can't be a name here. A name is a plain word before a colon.`,
      'a plain word',
      'title: Ferry',
    );
    return null;
  };

  const twice = (name: string, first: Span, second: Span): void => {
    const line = place(first.at).line;
    const say = `\`${name}\` stands here a second time; the first is on line ${line}. Take one out, or give it another name.`;
    fail(second.at, second.end, say, 'each name once', `${name}-2`);
  };

  const tree = convert(doc.contents as Node | null, 0);
  return { tree, errors };
}

function spanOf(node: Node | null, at: number): Span {
  const range = node?.range;
  return range ? { at: range[0], end: range[1] } : { at, end: at };
}

/** What stands in the text, on one line and not too long to be read in a sentence. */
export function shorten(text: string): string {
  const line = text.trim().split(/\r?\n/u)[0]!.trimEnd();
  return line.length > 60 ? `${line.slice(0, 57)}…` : line;
}

/** What stands at a path: its key where it has one, itself where it exists. */
export interface Found {
  readonly key: Span | null;
  readonly tree: Tree | null;
  /** How many parts of the path exist. */
  readonly depth: number;
  /** The nearest that does exist. */
  readonly nearest: Tree;
  /** The key before it; null for an item of a list. */
  readonly nearestKey: Span | null;
}

export function find(root: Tree, path: Path): Found {
  let nearest = root;
  let nearestKey: Span | null = null;
  for (const [depth, part] of path.entries()) {
    const entry = step(nearest, part);
    if (!entry) return { key: null, tree: null, depth, nearest, nearestKey };
    nearest = entry.tree;
    nearestKey = entry.key;
    if (depth === path.length - 1) {
      return { key: entry.key, tree: entry.tree, depth: path.length, nearest, nearestKey };
    }
  }
  return { key: null, tree: root, depth: 0, nearest: root, nearestKey: null };
}

function step(tree: Tree, part: string | number): { key: Span | null; tree: Tree } | null {
  if (typeof part === 'number') {
    const item = tree.kind === 'list' ? tree.items[part] : undefined;
    return item ? { key: null, tree: item } : null;
  }
  return (tree.kind === 'table' && tree.entries.get(part)) || null;
}

/** Names in a table, in the order of the file; none where it is no table. */
export function namesIn(root: Tree, path: Path): string[] {
  const { tree } = find(root, path);
  return tree?.kind === 'table' ? [...tree.entries.keys()] : [];
}

/** The tree as plain values for the schema. Tables become objects without a prototype. */
export function plainOf(tree: Tree): unknown {
  if (tree.kind === 'leaf') return tree.value;
  if (tree.kind === 'list') return tree.items.map(plainOf);
  const object = Object.create(null) as Record<string, unknown>;
  for (const [name, entry] of tree.entries) object[name] = plainOf(entry.tree);
  return object;
}
