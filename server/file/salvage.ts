import { type Path, writePath } from './errors.ts';
import { type Refusal, refusalsOf } from './issues.ts';
import { type YardFile, yardFile } from './schema.ts';
import { standInFor } from './schema-words.ts';

export interface Salvaged {
  readonly file: YardFile;
  /** By path of a list that lost items: the numbers, in the file, of those that are left. */
  readonly left: ReadonlyMap<string, readonly number[]>;
  /** Paths in the file at which something stands that the file does not say. */
  readonly stoodIn: readonly Path[];
}

interface Cuts {
  readonly left: Map<string, number[]>;
  readonly stoodIn: Map<string, Path>;
}

/**
 * Leaves out what the schema refuses until it takes the rest, so that a slip in one prop does not hide another
 * elsewhere. What an entry can't be read without is stood in for, so that the rest of that entry is looked at too.
 * What is left is only for looking at: a file with errors never becomes a yard.
 */
export function salvage(raw: unknown): Salvaged | null {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw)) return null;
  const cuts: Cuts = { left: new Map(), stoodIn: new Map() };
  // Each round goes a level deeper or takes one out; the schema has six.
  for (let round = 0; round < 20; round += 1) {
    const parsed = yardFile.safeParse(raw);
    if (parsed.success) return { file: parsed.data, left: cuts.left, stoodIn: [...cuts.stoodIn.values()] };
    const doomed = new Map<string, Path>();
    for (const refusal of refusalsOf(raw, parsed.error.issues)) {
      for (const path of blamed(refusal)) {
        if (standIn(raw, path, cuts)) continue;
        // What is missing is its table's fault.
        const out = refusal.kind === 'missing' ? path.slice(0, -1) : path;
        doomed.set(writePath(out), out);
      }
    }
    // From the back, so that the numbers of the items before stay what they are.
    for (const path of [...doomed.values()].toSorted(later)) takeOut(raw, path, cuts);
  }
  return null;
}

function blamed(refusal: Refusal): Path[] {
  const { path } = refusal;
  return refusal.kind === 'unknown' ? refusal.keys.map((k) => [...path, k]) : [path];
}

function later(a: Path, b: Path): number {
  for (let i = 0; i < Math.min(a.length, b.length); i += 1) {
    const [x, y] = [a[i], b[i]];
    if (typeof x === 'number' && typeof y === 'number' && x !== y) return y - x;
  }
  return b.length - a.length;
}

/** Puts something that will do in the place of what is wanted and refused; false where it is better left out. */
function standIn(value: unknown, path: Path, cuts: Cuts): boolean {
  const place = placeOf(value, path, cuts);
  const put = place && standInFor(path);
  if (!place || put === undefined) return false;
  const there = [...place.there, path.at(-1)!];
  // Refused a second time: it would be so for ever.
  if (cuts.stoodIn.has(writePath(there))) return false;
  cuts.stoodIn.set(writePath(there), there);
  (place.holder as Record<string | number, unknown>)[path.at(-1)!] = put;
  return true;
}

function takeOut(value: unknown, path: Path, cuts: Cuts): void {
  const place = placeOf(value, path, cuts);
  if (!place) return;
  const { holder, there } = place;
  const last = path.at(-1)!;
  if (Array.isArray(holder) && typeof last === 'number') {
    const key = writePath(there);
    const kept = cuts.left.get(key) ?? holder.map((_, i) => i);
    kept.splice(last, 1);
    cuts.left.set(key, kept);
    holder.splice(last, 1);
  } else delete (holder as Record<string, unknown>)[last];
}

/** The table or list that holds what is at a path, and where it stands in the file, whatever was taken out before. */
function placeOf(value: unknown, path: Path, cuts: Cuts): { holder: object; there: Path } | null {
  if (path.length === 0) return null;
  let at = value;
  const there: (string | number)[] = [];
  for (const part of path.slice(0, -1)) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, part)) return null;
    at = (at as Record<string | number, unknown>)[part];
    there.push(typeof part === 'number' ? (cuts.left.get(writePath(there))?.[part] ?? part) : part);
  }
  return typeof at === 'object' && at !== null ? { holder: at, there } : null;
}
