import type { LineCounter } from 'yaml';
import { inOrder, MOST_ERRORS, NOTHING, type Note, type Path, writePath, type YardError } from './errors.ts';
import type { Complaint } from './quantities.ts';
import { nameOf, partAt } from './schema-words.ts';
import { find, namesIn, shorten, type Tree } from './tree.ts';

/** What is said of a place in the file. `say` is a sentence or two, in full; the line is put before it. */
export interface Said {
  readonly say: string;
  readonly wanted: string;
  readonly example: string;
  readonly nearest?: string | undefined;
}

/** The file under review: what stands where in it, and what has been found wrong. */
export interface Book {
  fail(path: Path, said: Said, at?: 'value' | 'key'): void;
  /** `limit: 7` and what is wrong with it, then what to write. */
  complain(path: Path, complaint: Complaint, nearest?: string): void;
  missing(path: Path): void;
  /** A key that was meant and misspelled: it is told of once, and not missing besides. */
  meant(path: Path): void;
  note(path: Path, message: string): void;
  /** Whether the key stands in the file, rightly or not, misspelled or not. */
  wrote(path: Path): boolean;
  /** Names in a table as the file has them, broken entries too. */
  names(path: Path): string[];
  /** Whether the names there are known: there is a table, or nothing at all. */
  knows(path: Path): boolean;
  /** Entries of a list or a table as the file has them, broken ones too. */
  count(path: Path): number;
  /** No error at this place or below it: what the draft has there is what the file says. */
  clean(path: Path): boolean;
  /** `limit: 7` as it stands in the file, in backquotes. */
  quote(path: Path): string;
  /**
   * Tells where the items of lists stood before broken ones were left out: by path, the numbers that are left; and at
   * which paths in the file something stands in for what it does not say.
   */
  salvaged(lists: ReadonlyMap<string, readonly number[]>, stoodIn: readonly Path[]): void;
  errors(): YardError[];
  notes(): Note[];
}

export function openBook(text: string, root: Tree, lines: LineCounter, before: readonly YardError[]): Book {
  const errors: YardError[] = [...before];
  const notes: Note[] = [];
  const spoiled = new Set<string>();
  const misspelled = new Set<string>();
  let left: ReadonlyMap<string, readonly number[]> = new Map();

  /** A path among the items that are left, as one in the file. */
  const real = (path: Path): Path => {
    const out: (string | number)[] = [];
    for (const part of path) {
      const numbers = typeof part === 'number' ? left.get(writePath(out)) : undefined;
      out.push(numbers ? (numbers[part as number] ?? part) : part);
    }
    return out;
  };

  const place = (at: number): { line: number; column: number } => {
    const pos = lines.linePos(at);
    return { line: Math.max(1, pos.line), column: Math.max(1, pos.col) };
  };

  const spotOf = (path: Path, at: 'value' | 'key'): { at: number; found: string } => {
    const found = find(root, path);
    if (!found.tree) return { at: found.nearestKey?.at ?? found.nearest.at, found: NOTHING };
    const valueAt = at === 'value' || !found.key;
    const span = valueAt ? found.tree : found.key!;
    return { at: span.at, found: shorten(text.slice(span.at, span.end)) || NOTHING };
  };

  const spoil = (path: Path): void => {
    for (let n = 0; n <= path.length; n += 1) spoiled.add(writePath(path.slice(0, n)));
  };

  const book: Book = {
    fail(path, said, at = 'value') {
      const there = real(path);
      spoil(there);
      // Ten times what is told is enough to choose the first from; a hostile file has a million.
      if (errors.length >= MOST_ERRORS * 10) return;
      const spot = spotOf(there, at);
      const { line, column } = place(spot.at);
      errors.push({
        line,
        column,
        path: writePath(there),
        found: spot.found,
        wanted: said.wanted,
        example: said.example,
        message: `Line ${line}: ${said.say}`,
        ...(said.nearest === undefined ? {} : { nearest: said.nearest }),
      });
    },
    complain(path, complaint, nearest) {
      const what = complaint.what.startsWith(':') ? complaint.what : ` ${complaint.what}`;
      const say = `${book.quote(path)}${what}. Write \`${complaint.example}\`.`;
      book.fail(path, { say, wanted: complaint.wanted, example: complaint.example, nearest });
    },
    meant(path) {
      misspelled.add(writePath(real(path)));
      // Where it stands besides, rightly spelled, that is what the file says.
      if (!find(root, real(path)).tree) spoil(real(path));
    },
    missing(path) {
      if (misspelled.has(writePath(real(path)))) return;
      const key = String(path.at(-1));
      const words = partAt(path)?.words;
      const example = words?.example ?? '…';
      const say = `${nameOf(path.slice(0, -1))} has no \`${key}\`. Add \`${key}: ${example}\`.`;
      book.fail(path, { say, wanted: words?.noun ?? 'a value', example: `${key}: ${example}` });
    },
    note(path, message) {
      const there = real(path);
      const { line, column } = place(spotOf(there, 'key').at);
      if (notes.length < MOST_ERRORS) notes.push({ line, column, path: writePath(there), message });
    },
    wrote(path) {
      return find(root, real(path)).tree !== null || misspelled.has(writePath(real(path)));
    },
    names(path) {
      return namesIn(root, real(path));
    },
    knows(path) {
      const { tree, nearest } = find(root, real(path));
      return (tree ?? nearest).kind === 'table' && (tree !== null || !misspelled.has(writePath(real(path))));
    },
    count(path) {
      const { tree } = find(root, real(path));
      if (tree?.kind === 'list') return tree.items.length;
      return tree?.kind === 'table' ? tree.entries.size : 0;
    },
    clean(path) {
      return !spoiled.has(writePath(real(path)));
    },
    quote(path) {
      const there = real(path);
      const { tree, key } = find(root, there);
      if (!tree) return nameOf(there);
      const value = shorten(text.slice(tree.at, tree.end));
      const name = key ? text.slice(key.at, key.end) : null;
      if (name === null) return `\`${value}\``;
      return tree.kind === 'leaf' ? `\`${name}:${value === '' ? '' : ` ${value}`}\`` : `\`${name}\``;
    },
    salvaged(lists, stoodIn) {
      left = lists;
      for (const path of stoodIn) spoil(path);
    },
    errors: () => inOrder(errors),
    notes: () => notes.sort((a, b) => a.line - b.line || a.column - b.column),
  };
  return book;
}
