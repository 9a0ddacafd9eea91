import type { Event } from '../show/events.ts';
import type { JournalPort } from './port.ts';

export interface Snapshot {
  /** The last event that it includes. */
  readonly n: number;
  readonly yardHash: string;
  /** The core's state as JSON. */
  readonly state: string;
}

/** What a replay reads of the journal. */
export interface ReplaySource extends Pick<JournalPort, 'events' | 'latestSnapshot'> {
  /** The first snapshot of an event numbered above `after`. */
  nextSnapshot(after: number): Snapshot | null;
}

export interface ReplayOrder<S> {
  readonly journal: ReplaySource;
  /** The state of a snapshot, under the yard file with that hash. */
  readonly load: (state: string, yardHash: string) => S;
  readonly save: (state: S) => string;
  readonly step: (state: S, event: Event) => S;
  /** Begin at the newest snapshot not after this event; left out: at the oldest that the events reach back to. */
  readonly from?: number;
  /** The last event to fold; left out: all. */
  readonly to?: number;
}

export interface Difference {
  /** The event after which they differ. */
  readonly n: number;
  /** Where in the state, as `/props/ferry/at` (RFC 6901); empty where it is the whole. */
  readonly path: string;
  /** What memory had, from the stored snapshot; undefined where it had nothing there. */
  readonly was: unknown;
  /** What the replay makes of it. */
  readonly is: unknown;
}

export interface ReplayReport {
  /** The snapshot that it began with; null where there is none, and then nothing was done. */
  readonly from: number | null;
  readonly events: number;
  /** Snapshots compared and found equal, or unequal in the last case. */
  readonly compared: number;
  /** Snapshots taken over without comparing: the yard file had changed, or events before them are missing. */
  readonly taken: number;
  readonly difference: Difference | null;
  /** Event numbers that the record lacks, both included: stops that could not be written. */
  readonly gaps: readonly { readonly first: number; readonly last: number }[];
}

const BATCH = 1_000;

/**
 * Folds the recorded events from a snapshot on and compares the state with each later snapshot, to the byte. Stops at
 * the first difference. What is missing can't be folded, so the first snapshot after a gap is taken over, and the
 * gap is named.
 */
export function replay<S>(order: ReplayOrder<S>): ReplayReport {
  const { journal, to = Number.MAX_SAFE_INTEGER } = order;
  const start = order.from === undefined ? oldest(journal) : journal.latestSnapshot(order.from);
  if (!start) return { from: null, events: 0, compared: 0, taken: 0, difference: null, gaps: [] };
  const fold = new Fold(order, start);
  for (;;) {
    const batch = journal.events(fold.at, BATCH);
    for (const event of batch) {
      if (event.n > to) return fold.report(null);
      const found = fold.take(event);
      if (found) return fold.report(found);
    }
    if (batch.length === 0) return fold.report(null);
  }
}

class Fold<S> {
  readonly #order: ReplayOrder<S>;
  readonly #from: number;
  readonly #gaps: { first: number; last: number }[] = [];
  #events = 0;
  #compared = 0;
  #taken = 0;
  #state: S;
  #yardHash: string;
  /** The last event that the state includes. */
  at: number;
  /** False from a gap to the next snapshot. */
  #trusted = true;
  #next: Snapshot | null;

  constructor(order: ReplayOrder<S>, start: Snapshot) {
    this.#order = order;
    this.#from = start.n;
    this.at = start.n;
    this.#state = order.load(start.state, start.yardHash);
    this.#yardHash = start.yardHash;
    this.#next = order.journal.nextSnapshot(start.n);
  }

  take(event: Event): Difference | null {
    if (event.n !== this.at + 1) this.#cross(event.n);
    try {
      this.#state = this.#order.step(this.#state, event);
    } catch (error) {
      return { n: event.n, path: '', was: undefined, is: `the step failed: ${sentenceOf(error)}` };
    }
    this.#events += 1;
    this.at = event.n;
    return this.#meet();
  }

  report(difference: Difference | null): ReplayReport {
    const [from, events, compared, taken] = [this.#from, this.#events, this.#compared, this.#taken];
    return { from, events, compared, taken, difference, gaps: this.#gaps };
  }

  /** Over the numbers that are missing before an event; a snapshot of one of them still helps. */
  #cross(n: number): void {
    this.#gaps.push({ first: this.at + 1, last: n - 1 });
    this.#trusted = false;
    while (this.#next && this.#next.n < n) {
      this.#takeOver(this.#next);
      this.#trusted = this.at === n - 1;
    }
  }

  /** Compares with the snapshot of the event just folded, if there is one, or takes it over. */
  #meet(): Difference | null {
    if (this.#next?.n !== this.at) return null;
    if (!this.#trusted || this.#next.yardHash !== this.#yardHash) {
      this.#takeOver(this.#next);
      return null;
    }
    const { n, state } = this.#next;
    this.#compared += 1;
    this.#next = this.#order.journal.nextSnapshot(n);
    return difference(n, state, this.#order.save(this.#state));
  }

  #takeOver(snapshot: Snapshot): void {
    this.#taken += 1;
    this.#state = this.#order.load(snapshot.state, snapshot.yardHash);
    this.#yardHash = snapshot.yardHash;
    this.at = snapshot.n;
    this.#trusted = true;
    this.#next = this.#order.journal.nextSnapshot(snapshot.n);
  }
}

/** Events older than a snapshot may have been forgotten; the oldest of use is followed by its next event. */
function oldest(journal: ReplaySource): Snapshot | null {
  const first = journal.events(0, 1)[0]?.n;
  if (first === undefined) return journal.latestSnapshot();
  const before = journal.latestSnapshot(first - 1);
  return before?.n === first - 1 ? before : journal.nextSnapshot(first - 1);
}

function sentenceOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** The first difference between two states as JSON, in the order of the first; null where they are the same text. */
export function difference(n: number, was: string, is: string): Difference | null {
  if (was === is) return null;
  const found = firstDifference(JSON.parse(was), JSON.parse(is), '');
  // The same values in another order of keys, or with other spaces, are still not the same to the byte.
  return { n, ...(found ?? { path: '', was, is }) };
}

type Place = Omit<Difference, 'n'>;

function firstDifference(was: unknown, is: unknown, path: string): Place | null {
  if (was === is) return null;
  if (!isBranch(was) || !isBranch(is) || Array.isArray(was) !== Array.isArray(is)) return { path, was, is };
  const wasOf = new Map(Object.entries(was));
  const isOf = new Map(Object.entries(is));
  for (const key of new Set([...wasOf.keys(), ...isOf.keys()])) {
    const below = `${path}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`;
    const found = firstDifference(wasOf.get(key), isOf.get(key), below);
    if (found) return found;
  }
  return null;
}

function isBranch(value: unknown): value is object {
  return typeof value === 'object' && value !== null;
}
