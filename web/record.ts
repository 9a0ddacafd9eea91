import type { RecordLine } from '../server/desk-door.ts';

export type ReadRecord = (after: number, limit: number) => Promise<RecordLine[] | null>;

const FIRST_STRIDE = 1024;
const PAGE = 500;
const PAGES_AT_MOST = 20;

/**
 * The number to read the record after, so that the first line is the first at or after `sinceMs`. The record is asked
 * from its front only and may hold years, so the place is found by strides and halving, one line a question.
 * Null where the record can't be read.
 */
export async function placeOf(read: ReadRecord, sinceMs: number): Promise<number | null> {
  // Below `low` all is older; above `high` nothing is, or there is nothing.
  let low = 0;
  let high = FIRST_STRIDE;
  const older = async (after: number): Promise<boolean | null> => {
    const lines = await read(after, 1);
    return lines === null ? null : lines[0] !== undefined && lines[0].at < sinceMs;
  };
  for (;;) {
    const found = await older(high);
    if (found === null) return null;
    if (!found) break;
    low = high;
    high *= 2;
  }
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    const found = await older(middle);
    if (found === null) return null;
    if (found) low = middle;
    else high = middle;
  }
  return (await older(low)) ? high : low;
}

/** All lines numbered above `after`, oldest first, up to a bound; null where the record can't be read. */
export async function linesAfter(read: ReadRecord, after: number): Promise<RecordLine[] | null> {
  const all: RecordLine[] = [];
  for (let page = 0; page < PAGES_AT_MOST; page += 1) {
    const lines = await read(all.at(-1)?.n ?? after, PAGE);
    if (lines === null) return null;
    all.push(...lines);
    if (lines.length < PAGE) break;
  }
  return all;
}

/** Tonight's record as far as it was read, kept so that later looks ask only for what is new. */
export class Tonight {
  readonly #read: ReadRecord;
  #after: number | null = null;
  #lines: RecordLine[] = [];
  #reading: Promise<RecordLine[] | null> | null = null;

  constructor(read: ReadRecord) {
    this.#read = read;
  }

  /** Lines from `sinceMs` on, oldest first; what was read before stays where the record can't be read now. */
  lines(sinceMs: number): Promise<RecordLine[] | null> {
    // One look at a time: two would take the same lines twice.
    this.#reading ??= this.#look(sinceMs).finally(() => {
      this.#reading = null;
    });
    return this.#reading;
  }

  async #look(sinceMs: number): Promise<RecordLine[] | null> {
    this.#after ??= await placeOf(this.#read, sinceMs);
    if (this.#after === null) return null;
    const more = await linesAfter(this.#read, this.#after);
    if (more === null) return this.#lines;
    this.#after = more.at(-1)?.n ?? this.#after;
    this.#lines = [...this.#lines, ...more].filter((line) => line.at >= sinceMs);
    return this.#lines;
  }
}
