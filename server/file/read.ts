import type { Yard } from '../yard/types.ts';
import { type Book, openBook } from './book.ts';
import { buildYard } from './build.ts';
import { checkBus } from './check-bus.ts';
import { checkMoves } from './check-moves.ts';
import { checkNames } from './check-names.ts';
import { checkNights } from './check-nights.ts';
import { checkPower } from './check-power.ts';
import { checkProps } from './check-props.ts';
import { checkRuns } from './check-runs.ts';
import { checkScenes } from './check-scenes.ts';
import type { Note, YardError } from './errors.ts';
import { refusalsOf, tellRefusals } from './issues.ts';
import { salvage } from './salvage.ts';
import { yardFile } from './schema.ts';
import type { Years } from './sure-nights.ts';
import { plainOf } from './tree.ts';
import { parseText } from './yaml-text.ts';

export type { Note, YardError } from './errors.ts';

export type Read =
  | { readonly ok: true; readonly yard: Yard; readonly notes: Note[] }
  | {
      readonly ok: false;
      readonly errors: YardError[];
      /** What could be read, for a review; never a yard to run. Left out where nothing hangs together. */
      readonly left?: Yard;
    };

/**
 * Reads a yard file: YAML, then the schema, then what one key says about another, and tells all that is wrong at once.
 * Never throws. `name` stands before the first message where the file as a whole can't be read. Nights are looked at
 * date by date through `years`, from this one for three if not given.
 */
export function readYard(text: string, name?: string, years: Years = nextYears()): Read {
  const parsed = parseText(text);
  if (!parsed.ok) return { ok: false, errors: parsed.errors.map((e) => withName(e, name)) };
  const book = openBook(text, parsed.tree, parsed.lines, parsed.errors);
  const raw = plainOf(parsed.tree);
  const read = yardFile.safeParse(raw);
  if (read.success) {
    const yard = buildYard(read.data, book);
    checkAll(yard, book, years);
    const errors = book.errors();
    return errors.length === 0 ? { ok: true, yard, notes: book.notes() } : { ok: false, errors, left: yard };
  }
  tellRefusals(book, raw, refusalsOf(raw, read.error.issues));
  const left = salvage(plainOf(parsed.tree));
  if (!left) return { ok: false, errors: book.errors() };
  book.salvaged(left.left, left.stoodIn);
  const yard = buildYard(left.file, book);
  checkAll(yard, book, years);
  return { ok: false, errors: book.errors(), left: yard };
}

function checkAll(yard: Yard, book: Book, years: Years): void {
  checkBus(book);
  checkNames(yard, book);
  checkMoves(yard, book);
  checkProps(yard, book);
  checkPower(yard, book);
  checkScenes(yard, book);
  checkRuns(yard, book, checkNights(yard, book, years));
}

function nextYears(): Years {
  const from = new Date().getFullYear();
  return { from, to: from + 2 };
}

/** What is said of the file as a whole names it: it may be the wrong one. */
function withName(error: YardError, name: string | undefined): YardError {
  const whole = error.path === '' && error.line === 1 && error.column === 1;
  return name !== undefined && whole ? { ...error, message: `${name}: ${error.message}` } : error;
}
