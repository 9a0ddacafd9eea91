import { type Path, writePath } from './errors.ts';
import { type Refusal, refusalsOf } from './issues.ts';
import { type YardFile, yardFile } from './schema.ts';

export interface Salvaged {
  readonly file: YardFile;
  /** By path of a list that lost items: the numbers, in the file, of those that are left. */
  readonly left: ReadonlyMap<string, readonly number[]>;
}

/** What a section is where the file has none that can be read, so that the others can still be checked. */
const STUBS: Readonly<Record<string, () => unknown>> = {
  yard: () => ({ id: 'yard', title: 'Yard', timezone: 'UTC', latitude: 0, longitude: 0 }),
  nights: () => [],
  props: () => ({}),
  scenes: () => ({}),
};

/**
 * Leaves out what the schema refuses until it takes the rest, so that a slip in one prop does not hide another
 * elsewhere. What is left is only for looking at: a file with errors never becomes a yard.
 */
export function salvage(raw: unknown): Salvaged | null {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw)) return null;
  const numbers = new Map<string, number[]>();
  const value = raw as Record<string, unknown>;
  // Each round takes a level out at least; the schema has six.
  for (let round = 0; round < 12; round += 1) {
    for (const [key, stub] of Object.entries(STUBS)) {
      if (!Object.hasOwn(value, key)) value[key] = stub();
    }
    const parsed = yardFile.safeParse(value);
    if (parsed.success) return { file: parsed.data, left: numbers };
    const doomed = new Map<string, Path>();
    for (const refusal of refusalsOf(value, parsed.error.issues)) {
      for (const path of blamed(refusal)) doomed.set(writePath(path), path);
    }
    // From the back, so that the numbers of the items before stay what they are.
    for (const path of [...doomed.values()].toSorted(later)) takeOut(value, path, numbers);
  }
  return null;
}

function blamed(refusal: Refusal): Path[] {
  const { path } = refusal;
  if (refusal.kind === 'unknown') return refusal.keys.map((k) => [...path, k]);
  // What is missing is its table's fault.
  return [refusal.kind === 'missing' ? path.slice(0, -1) : path];
}

function later(a: Path, b: Path): number {
  for (let i = 0; i < Math.min(a.length, b.length); i += 1) {
    const [x, y] = [a[i], b[i]];
    if (typeof x === 'number' && typeof y === 'number' && x !== y) return y - x;
  }
  return b.length - a.length;
}

function takeOut(value: unknown, path: Path, numbers: Map<string, number[]>): void {
  if (path.length === 0) return;
  let at = value;
  // Where `at` stands in the file, whatever was taken out before.
  const there: (string | number)[] = [];
  for (const part of path.slice(0, -1)) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, part)) return;
    at = (at as Record<string | number, unknown>)[part];
    there.push(typeof part === 'number' ? (numbers.get(writePath(there))?.[part] ?? part) : part);
  }
  const last = path.at(-1)!;
  if (Array.isArray(at) && typeof last === 'number') {
    const key = writePath(there);
    const kept = numbers.get(key) ?? at.map((_, i) => i);
    kept.splice(last, 1);
    numbers.set(key, kept);
    at.splice(last, 1);
  } else if (typeof at === 'object' && at !== null) delete (at as Record<string, unknown>)[last];
}
