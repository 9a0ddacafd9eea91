import { distance } from 'fastest-levenshtein';
import type { z } from 'zod';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';
import { complaintOf } from './leaf.ts';
import { ID_WANTED, idLike, listOf, nearestOf } from './names.ts';
import type { Complaint } from './quantities.ts';
import { homesOf, nameOf, type Part, partAt } from './schema-words.ts';

/** One thing that the schema refuses, at its own place. */
export type Refusal =
  | { readonly kind: 'unknown'; readonly path: Path; readonly keys: readonly string[] }
  | { readonly kind: 'bad-name'; readonly path: Path }
  | { readonly kind: 'missing'; readonly path: Path }
  | { readonly kind: 'value'; readonly path: Path; readonly value: unknown; readonly complaint?: Complaint };

/** Unknown keys told of one table; more are not slips. */
const MOST_UNKNOWN = 50;

/**
 * What the schema found, each at its own place: of a union only the branch that was meant. Unknown keys come first, since a
 * key that is misspelled is not missing besides. `raw` is what the schema was given.
 */
export function refusalsOf(raw: unknown, issues: readonly z.core.$ZodIssue[]): Refusal[] {
  return issues.flatMap((issue) => unfold(raw, issue, [])).toSorted((a, b) => rank(a) - rank(b));
}

function rank(refusal: Refusal): number {
  return refusal.kind === 'unknown' ? 0 : 1;
}

function unfold(raw: unknown, issue: z.core.$ZodIssue, above: Path): Refusal[] {
  const path: Path = [...above, ...(issue.path as (string | number)[])];
  if (issue.code === 'unrecognized_keys') return [{ kind: 'unknown', path, keys: issue.keys }];
  if (issue.code === 'invalid_key') return [{ kind: 'bad-name', path }];
  const value = valueAt(raw, path);
  if (value === undefined) return [{ kind: 'missing', path }];
  if (issue.code === 'invalid_union') return unfoldUnion(raw, issue, path, value);
  const complaint = issue.code === 'custom' && isPlain(value) ? complaintOf(issue.params) : undefined;
  return [{ kind: 'value', path, value, ...(complaint ? { complaint } : {}) }];
}

/** Of a union the branch that fits the kind of value that was written is the one that was meant. */
function unfoldUnion(
  raw: unknown,
  issue: z.core.$ZodIssueInvalidUnion,
  path: Path,
  value: unknown,
): Refusal[] {
  if (isPlain(value)) {
    const own = issue.errors.flat().find((e) => e.code === 'custom' && e.path.length === 0);
    return own ? unfold(raw, own as z.core.$ZodIssue, path) : [{ kind: 'value', path, value }];
  }
  const written = value === null || Array.isArray(value) ? [] : Object.keys(value as object);
  if (written.length === 0) return [{ kind: 'value', path, value }];
  const known = partAt(path)?.keys ?? [];
  if (!written.some((k) => known.includes(k))) return [{ kind: 'unknown', path, keys: written }];
  const tables = issue.errors.filter(
    (errors) => !errors.some((e) => e.path.length === 0 && e.code !== 'unrecognized_keys'),
  );
  const meant = tables.toSorted((a, b) => strangers(a) - strangers(b) || a.length - b.length)[0] ?? [];
  return meant.flatMap((e) => unfold(raw, e as z.core.$ZodIssue, path));
}

function strangers(errors: readonly { code?: string | undefined }[]): number {
  return errors.filter((e) => e.code === 'unrecognized_keys').length;
}

/** Tells them in the book; `raw` is what the schema was given. */
export function tellRefusals(book: Book, raw: unknown, refusals: readonly Refusal[]): void {
  for (const refusal of refusals) {
    const { path } = refusal;
    if (refusal.kind === 'unknown') {
      for (const key of refusal.keys.slice(0, MOST_UNKNOWN)) {
        tellUnknown(book, path, key, valueAt(raw, [...path, key]));
      }
    } else if (refusal.kind === 'bad-name') tellBadName(book, path);
    else if (refusal.kind === 'missing') book.missing(path);
    else if (refusal.value === null) tellEmpty(book, path);
    else if (refusal.complaint) book.complain(path, refusal.complaint);
    else tellKind(book, path, refusal.value);
  }
}

/** Words that people bring from elsewhere, and ours for them. */
const MEANT: ReadonlyMap<string, string> = new Map([
  ['name', 'title'],
  ['label', 'title'],
  ['duration', 'lasts'],
  ['timeout', 'limit'],
  ['interlock', 'needs'],
  ['interlocks', 'needs'],
  ['requires', 'needs'],
  ['trigger', 'on'],
  ['interval', 'every'],
  ['delay', 'wait'],
  ['pause', 'wait'],
  ['current', 'load'],
  ['lat', 'latitude'],
  ['lon', 'longitude'],
  ['lng', 'longitude'],
  ['tz', 'timezone'],
  ['voltage', 'volts'],
  ['cooldown', 'again-after'],
  ['schedule', 'nights'],
  ['board', 'controller'],
]);

function tellUnknown(book: Book, path: Path, key: string, value: unknown): void {
  const part = partAt(path);
  const known = part?.keys ?? [];
  const where = nounOf(path, part);
  const wanted = known.length > 0 ? `one of ${known.join(', ')}` : 'nothing here';
  const fail = (say: string, example: string, nearest?: string): void =>
    book.fail([...path, key], { say, wanted, example, nearest }, 'key');

  if (key === '<<') {
    return fail('`<<` merges nothing: YAML 1.2 has no merge key. Write the keys out.', '');
  }
  if (/^\d/u.test(key) && !known.includes(key)) {
    return fail(
      `\`${key}\` stands here as a key. Is there a comma inside a number or a text? Write \`1.5 s\` with a point, and texts with commas in quotes.`,
      '1.5 s',
    );
  }
  const synonym = MEANT.get(key.toLowerCase());
  const nearest = synonym !== undefined && known.includes(synonym) ? synonym : nearestOf(key, known);
  const homes = homesOf(key).filter((h) => h !== part?.words?.noun);
  // A key that is right elsewhere was hardly meant as another one, unless that one is a letter away.
  if (homes.length > 0 && (nearest === undefined || distance(key, nearest) > 1)) {
    return fail(`\`${key}\` belongs to ${homes.join(' or ')}, not to ${where}. Move it there.`, key, nearest);
  }
  if (nearest !== undefined) {
    book.meant([...path, nearest]);
    return fail(`\`${key}\` is no key of ${where}. Did you mean \`${nearest}\`?`, nearest, nearest);
  }
  if (value === null) {
    return fail(
      `\`${key}\` stands here without a value. Is there a comma inside the text before it? Put that text in quotes.`,
      '"0 16 * 10 fri,sat"',
    );
  }
  if (part?.words?.noun === 'a step' && typeof value === 'string') {
    return fail(`\`${key}: ${value}\` is no step. Write \`${key}.${value}\`.`, `${key}.${value}`);
  }
  fail(`\`${key}\` is no key of ${where}. It has ${listOf(known, 20)}.`, known[0] ?? '');
}

function nounOf(path: Path, part: Part | null): string {
  return path.length === 0 ? 'the file itself' : (part?.words?.noun ?? nameOf(path));
}

function tellBadName(book: Book, path: Path): void {
  const name = String(path.at(-1));
  const example = idLike(name);
  const say = `\`${name}\` can't be a name here: ${ID_WANTED}. Write \`${example}\`.`;
  book.fail(path, { say, wanted: `a name of ${ID_WANTED}`, example, nearest: example }, 'key');
}

function tellEmpty(book: Book, path: Path): void {
  if (path.length === 0) {
    const say =
      'the file is empty. It begins with `yard:` and says what is where; config/ferry.yaml is a small one to begin with.';
    return book.fail(path, { say, wanted: 'a yard file', example: 'yard: {id: saltmarsh, …}' });
  }
  const words = partAt(path)?.words;
  const example = words?.example ?? '…';
  const key = path.at(-1);
  const say =
    typeof key === 'number'
      ? `${nameOf(path)} is empty. Write \`${example}\`, or take it out.`
      : `\`${key}:\` has nothing after it. Write \`${key}: ${example}\`, or take the key out.`;
  book.fail(path, { say, wanted: words?.noun ?? 'a value', example });
}

/** A value of the wrong kind: a list where names are wanted, a word where a list is. */
function tellKind(book: Book, path: Path, value: unknown): void {
  const words = partAt(path)?.words;
  const wanted = words?.noun ?? 'something else';
  const example = words?.example ?? '';
  const is = Array.isArray(value)
    ? 'a list'
    : typeof value === 'object'
      ? 'keys with values'
      : 'a plain value';
  if (path.length === 0) {
    const say = `the file is ${is}, not a yard. It begins with \`yard:\` and says what is where.`;
    return book.fail(path, { say, wanted: 'a yard file', example: 'yard: {id: saltmarsh, …}' });
  }
  const one = typeof value === 'string' && /^\[/u.test(example) ? `[${value}]` : example;
  const say = `${book.quote(path)} is ${is}, and ${wanted} is wanted. Write \`${one}\`.`;
  book.fail(path, { say, wanted, example: one });
}

function isPlain(value: unknown): boolean {
  return typeof value !== 'object';
}

function valueAt(raw: unknown, path: Path): unknown {
  let value = raw;
  for (const part of path) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, part)) return undefined;
    value = (value as Record<string | number, unknown>)[part];
  }
  return value;
}
