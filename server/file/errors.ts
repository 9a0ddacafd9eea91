/** Where something stands in the file: keys of tables by name, items of lists by number from 0. */
export type Path = readonly (string | number)[];

/** One mistake in a yard file, as a person is told it. */
export interface YardError {
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 units, as editors count. */
  readonly column: number;
  /** As `props.ferry.moves.out.limit` or `nights[0].open`; empty for the file as a whole. */
  readonly path: string;
  /** What was read there, shortened to one line; `nothing` where nothing is. Never empty. */
  readonly found: string;
  readonly wanted: string;
  readonly example: string;
  /** A sentence or two that can stand alone. */
  readonly message: string;
  /** The nearest name that is known, where one is near. */
  readonly nearest?: string;
}

/** Something that is allowed and probably not meant. */
export interface Note {
  readonly line: number;
  readonly column: number;
  readonly path: string;
  readonly message: string;
}

/** What was read where nothing stands. */
export const NOTHING = 'nothing';

/** `props.ferry.moves.out.needs[0]` */
export function writePath(path: Path): string {
  let text = '';
  for (const part of path) {
    if (typeof part === 'number') text += `[${part}]`;
    else text += text === '' ? part : `.${part}`;
  }
  return text;
}

/** Errors kept of one file. More than this is not a file with mistakes but something else. */
export const MOST_ERRORS = 200;

/** In the order of the file, each once, at most `MOST_ERRORS` and then one that counts the rest. */
export function inOrder(errors: readonly YardError[]): YardError[] {
  const sorted = [...errors].sort((a, b) => a.line - b.line || a.column - b.column);
  const seen = new Set<string>();
  const once = sorted.filter((e) => {
    const key = `${e.line}:${e.column}:${e.message}`;
    return !seen.has(key) && seen.add(key);
  });
  if (once.length <= MOST_ERRORS) return once;
  const next = once[MOST_ERRORS]!;
  const more = once.length - MOST_ERRORS;
  return [
    ...once.slice(0, MOST_ERRORS),
    {
      line: next.line,
      column: next.column,
      path: '',
      found: `${more} more`,
      wanted: 'a yard file',
      example: '',
      message: `Line ${next.line}: and ${more} more ${more === 1 ? 'mistake' : 'mistakes'} from here on. Put these right first.`,
    },
  ];
}
