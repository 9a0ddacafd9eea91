import { parse } from 'yaml';
import type { z } from 'zod';
import type { Path } from './errors.ts';
import { WORDS, type Words } from './leaf.ts';
import { yardFile } from './schema.ts';

/** A part of the schema, as far as the error texts look into it. */
export interface Part {
  readonly words: Words | undefined;
  /** Keys of a table; null where it is none. */
  readonly keys: readonly string[] | null;
  readonly schema: z.core.$ZodType;
}

function unwrap(schema: z.core.$ZodType): z.core.$ZodType {
  const { def } = schema._zod;
  return def.type === 'optional' ? unwrap((def as z.core.$ZodOptionalDef).innerType) : schema;
}

function shapeOf(schema: z.core.$ZodType): Readonly<Record<string, z.core.$ZodType>> | null {
  const { def } = schema._zod;
  return def.type === 'object' ? (def as z.core.$ZodObjectDef).shape : null;
}

function into(schema: z.core.$ZodType, part: string | number): z.core.$ZodType | null {
  const { def } = schema._zod;
  const shape = shapeOf(schema);
  if (shape) return Object.hasOwn(shape, part) ? shape[part]! : null;
  if (def.type === 'record') return (def as z.core.$ZodRecordDef).valueType;
  if (def.type === 'array') return (def as z.core.$ZodArrayDef).element;
  if (def.type !== 'union') return null;
  for (const option of (def as z.core.$ZodUnionDef).options) {
    const found = into(option, part);
    if (found) return found;
  }
  return null;
}

/** What the schema says of a path; null where it knows no such place. */
export function partAt(path: Path): Part | null {
  let schema: z.core.$ZodType = yardFile;
  for (const part of path) {
    const next = into(schema, part);
    if (!next) return null;
    schema = unwrap(next);
  }
  return { schema, words: WORDS.get(schema as z.ZodType), keys: keysOf(schema) };
}

/**
 * A value that would do at a place that its table can't be read without: the example of a plain value, an empty table or
 * list. Undefined where nothing need stand there, or where the whole table may as well be left out.
 */
export function standInFor(path: Path): unknown {
  const above = path.slice(0, -1);
  const schema = slotOf(path) === 'wanted' && slotOf(above) !== 'optional' ? partAt(path) : null;
  const type = schema?.schema._zod.def.type;
  if (type === 'object' || type === 'record') return {};
  if (type === 'array') return [];
  return schema?.words && parse(schema.words.example);
}

/** Whether a key must stand in its table, may, or is an entry of a list or of a table of names. */
function slotOf(path: Path): 'wanted' | 'optional' | 'entry' {
  const above = partAt(path.slice(0, -1))?.schema;
  const type = above?._zod.def.type;
  if (path.length === 0 || !above || type === 'record' || type === 'array') return 'entry';
  return into(above, path.at(-1)!)?._zod.def.type === 'optional' ? 'optional' : 'wanted';
}

function keysOf(schema: z.core.$ZodType): readonly string[] | null {
  const shape = shapeOf(schema);
  if (shape) return Object.keys(shape);
  const { def } = schema._zod;
  if (def.type !== 'union') return null;
  const keys = (def as z.core.$ZodUnionDef).options.flatMap((o) => keysOf(o) ?? []);
  return keys.length > 0 ? keys : null;
}

/** Which tables know a key, by their nouns: for a key that stands in the wrong one. */
export function homesOf(key: string): readonly string[] {
  return HOMES.get(key) ?? [];
}

const HOMES = new Map<string, string[]>();
collect(yardFile, new Set());

function collect(schema: z.core.$ZodType, seen: Set<z.core.$ZodType>): void {
  const plain = unwrap(schema);
  if (seen.has(plain)) return;
  seen.add(plain);
  const { def } = plain._zod;
  const shape = shapeOf(plain);
  if (shape) {
    const noun =
      plain === yardFile ? 'the file itself, outermost' : (WORDS.get(plain as z.ZodType)?.noun ?? 'a table');
    for (const [key, of] of Object.entries(shape)) {
      const nouns = HOMES.get(key) ?? [];
      if (!nouns.includes(noun)) nouns.push(noun);
      HOMES.set(key, nouns);
      collect(of, seen);
    }
  } else if (def.type === 'record') collect((def as z.core.$ZodRecordDef).valueType, seen);
  else if (def.type === 'array') collect((def as z.core.$ZodArrayDef).element, seen);
  else if (def.type === 'union') for (const o of (def as z.core.$ZodUnionDef).options) collect(o, seen);
}

/** What a path is called in a sentence: 'the move `ferry.out`', 'entry 2 of `nights`'. */
export function nameOf(path: Path): string {
  if (path.length === 0) return 'the file';
  const [first, second, third, fourth] = path;
  const last = path.at(-1)!;
  if (path.length === 2 && first === 'nights') return `entry ${Number(second) + 1} of \`nights\``;
  if (path.length === 4 && first === 'props' && third === 'moves') return `the move \`${second}.${fourth}\``;
  if (path.length === 2 && typeof second === 'string') {
    const noun = partAt(path)?.words?.noun.replace(/^(an?|the) /u, '');
    if (noun && first !== 'yard' && first !== 'bus') return `the ${noun} \`${second}\``;
  }
  if (typeof last === 'number') return `item ${last + 1} of \`${path.at(-2) ?? ''}\``;
  const owner = path.length > 2 ? ` of ${nameOf(path.slice(0, -1))}` : '';
  return `\`${last}\`${owner}`;
}
