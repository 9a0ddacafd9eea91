import type { Move } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';

/**
 * What a check may rely on in a file that has errors: that the keys it compares were read, whatever is wrong beside them.
 * So an entry with a mistake is looked at for all others, and nothing is said of what only stands in.
 */

export function known(book: Book, path: Path, keys: readonly string[]): boolean {
  return keys.every((key) => book.clean([...path, key]));
}

/** Whether the move says that it ends, one way and not both. */
function hasOneEnd(book: Book, path: Path): boolean {
  return book.wrote([...path, 'lasts']) !== book.wrote([...path, 'until']);
}

/** Whether it is known how long the move takes, by whichever sensor it ends. */
export function timeKnown(book: Book, prop: string, move: Move): boolean {
  const path = ['props', prop, 'moves', move.id];
  return (
    hasOneEnd(book, path) &&
    known(book, path, ['lasts', 'usual']) &&
    Number.isFinite(move.usualMs) &&
    (!move.derived || book.clean(['props', prop, 'drive']))
  );
}

/** Whether it is known where the move ends. */
export function endKnown(book: Book, prop: string, move: string): boolean {
  const path = ['props', prop, 'moves', move];
  return hasOneEnd(book, path) && known(book, path, ['lasts', 'until']);
}

/** Whether all is known of when and where the move may run: what it needs, how long it takes and where it ends. */
export function courseKnown(book: Book, prop: string, move: Move): boolean {
  const path = ['props', prop, 'moves', move.id];
  return timeKnown(book, prop, move) && endKnown(book, prop, move.id) && known(book, path, ['needs']);
}

/** Whether it is known what a circuit carries. What stands on it may be more than is known, never less. */
export function circuitKnown(book: Book, circuit: string): boolean {
  return known(book, ['circuits', circuit], ['breaker', 'continuous']);
}
