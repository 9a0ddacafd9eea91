import type { Table, Tree } from './tree.ts';
import { parseText } from './yaml-text.ts';

/**
 * From when a change can hold:
 *   now     nothing under way is judged by it
 *   rest    once the prop or the scene that it touches is at rest
 *   night   now, unless a night is on that the changed file does not have
 *   closed  once the yard is closed: boards come and go, or the pressure that is reckoned would jump
 *   start   at the next start: the bus itself
 */
export type ChangeWhen = 'now' | 'rest' | 'night' | 'closed' | 'start';

export interface FileChange {
  /** Keys as they stand in the file, as `props`, `ferry`, `moves`, `out`, `limit`. */
  readonly path: readonly string[];
  /** As it stands in the file, on one line; null where nothing stood. */
  readonly was: string | null;
  readonly is: string | null;
  readonly when: ChangeWhen;
  /** What must be at rest first. */
  readonly of: { readonly kind: 'prop' | 'scene'; readonly id: string } | null;
}

/** What differs between two yard files that both read, in the order of the newer one. Says of texts that do not read: nothing. */
export function differenceOf(before: string, after: string): FileChange[] {
  const [was, is] = [parseText(before), parseText(after)];
  if (!was.ok || !is.ok) return [];
  const out: FileChange[] = [];
  compare([], was.tree, is.tree, out);
  return out;
}

function compare(path: readonly string[], was: Tree | null, is: Tree | null, out: FileChange[]): void {
  if (was?.kind === 'table' && is?.kind === 'table') return compareTables(path, was, is, out);
  const [a, b] = [textOf(was), textOf(is)];
  if (a !== b) out.push({ path, was: a, is: b, ...whenOf(path, was === null || is === null) });
}

function compareTables(path: readonly string[], was: Table, is: Table, out: FileChange[]): void {
  const names = new Set([...is.entries.keys(), ...was.entries.keys()]);
  for (const name of names)
    compare([...path, name], was.entries.get(name)?.tree ?? null, is.entries.get(name)?.tree ?? null, out);
}

const LONGEST = 160;

function textOf(tree: Tree | null): string | null {
  if (tree === null) return null;
  const text = written(tree);
  return text.length > LONGEST ? `${text.slice(0, LONGEST)}…` : text;
}

function written(tree: Tree): string {
  if (tree.kind === 'leaf') return String(tree.value ?? '');
  if (tree.kind === 'list') return `[${tree.items.map(written).join(', ')}]`;
  return `{${[...tree.entries].map(([name, { tree: t }]) => `${name}: ${written(t)}`).join(', ')}}`;
}

type Judged = Pick<FileChange, 'when' | 'of'>;

/** `whole`: it came or went as a whole. */
function whenOf([room, id, key]: readonly string[], whole: boolean): Judged {
  switch (room) {
    case 'bus':
      return plain('start');
    case 'nights':
    case 'dark':
      return plain('night');
    case 'yard':
      return plain(OF_PLACE.has(id ?? '') ? 'night' : 'now');
    case 'circuits':
    case 'zones':
      return plain('now');
    case 'tanks':
      return plain(key === 'title' ? 'now' : 'closed');
    case 'scenes':
      if (id === undefined) return plain('closed');
      return key === 'title' ? plain('now') : { when: 'rest', of: { kind: 'scene', id } };
    case 'props':
      return ofProp(id, key, whole);
    default:
      return plain('closed');
  }
}

function ofProp(id: string | undefined, key: string | undefined, whole: boolean): Judged {
  if (id === undefined || key === undefined || OF_BOARDS.has(key)) return plain('closed');
  if (OF_PAGE.has(key)) return plain('now');
  // a whole `moves` that came or went is a prop made anew
  if (key === 'moves' && whole) return plain('closed');
  return { when: 'rest', of: { kind: 'prop', id } };
}

const plain = (when: ChangeWhen): Judged => ({ when, of: null });

/** Where the sun sets, and what the clock says. */
const OF_PLACE = new Set(['timezone', 'latitude', 'longitude']);
/** What boards say and are told is read by these, and where a prop stands. */
const OF_BOARDS = new Set(['controller', 'sensors', 'kind', 'home', 'home-move']);
/** Only shown, counted or reviewed. */
const OF_PAGE = new Set(['title', 'zone', 'service-every', 'cable', 'drive']);
