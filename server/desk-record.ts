import type { JournalPort, Line } from './journal/port.ts';
import type { Event } from './show/events.ts';
import { saveShow } from './show/save.ts';
import type { Show } from './show/show.ts';

const FLUSH_MS = 1000;
const RETRY_MS = 1000;
const KEPT_MOST = 5000;
const SNAPSHOT_EVENTS = 5000;
/** In a flood so many events come in a moment; a start folds some tens of thousands of them in a second. */
const SNAPSHOT_APART_MS = 2000;
const SNAPSHOT_LEAST = 100;
const SNAPSHOT_MS = 600_000;

export interface RecordParts {
  readonly journal: JournalPort;
  readonly yardHash: string;
  readonly log: { error(text: string): void };
}

/**
 * What the desk still has to write: events that may wait (beats, and stops, which go out first), and lines for people. All
 * of it goes in order with the next write. While the disk refuses it is kept up to a bound; what is lost past that
 * shows as a gap in the numbers of the events.
 */
export class DeskRecord {
  readonly #parts: RecordParts;
  #yardHash: string;
  #events: Event[] = [];
  #lines: Line[] = [];
  #flushAt = Number.POSITIVE_INFINITY;
  #retryAt = Number.POSITIVE_INFINITY;
  #snapshotN: number;
  #snapshotAt: number;
  /** Why the last write failed. */
  why = '';

  constructor(parts: RecordParts, n: number, at: number) {
    this.#parts = parts;
    this.#yardHash = parts.yardHash;
    this.#snapshotN = n;
    this.#snapshotAt = at;
  }

  /** When it next wants looking at, on the desk's axis. */
  get dueAt(): number {
    return Math.min(this.#flushAt, this.#retryAt);
  }

  /** These events and all that waits, in one durable transaction. False where the disk refuses; nothing is lost then. */
  write(events: readonly Event[] = []): boolean {
    try {
      this.#parts.journal.append([...this.#events, ...events], this.#lines);
    } catch (error) {
      this.why = error instanceof Error ? error.message : String(error);
      return false;
    }
    this.#events = [];
    this.#lines = [];
    this.#flushAt = Number.POSITIVE_INFINITY;
    this.#retryAt = Number.POSITIVE_INFINITY;
    return true;
  }

  /** Keeps events for the next write, which comes by `flushBy` at the latest. */
  keep(events: readonly Event[], flushBy: number): void {
    this.#events.push(...events);
    if (this.#events.length > KEPT_MOST) this.#events.splice(0, this.#events.length - KEPT_MOST);
    this.#flushAt = Math.min(this.#flushAt, flushBy);
  }

  /** The same while the disk refuses: it is tried again a moment on. */
  keepFailing(events: readonly Event[], at: number): void {
    this.keep(events, Number.POSITIVE_INFINITY);
    this.#flushAt = Number.POSITIVE_INFINITY;
    if (!Number.isFinite(this.#retryAt)) this.#retryAt = at + RETRY_MS;
  }

  /** When events that may wait are written at the latest. */
  static flushBy(at: number): number {
    return at + FLUSH_MS;
  }

  add(line: Line, at: number): void {
    this.#lines.push(line);
    if (this.#lines.length > KEPT_MOST) this.#lines.shift();
    this.#flushAt = Math.min(this.#flushAt, at + FLUSH_MS);
  }

  /** Writes what is due. `resumed`: the disk takes it again; `failed`: it has begun to refuse. */
  flush(at: number, failing: boolean): 'resumed' | 'failed' | null {
    if (failing) {
      // lines that came meanwhile wait for the next try too, and do not wake the desk before it
      this.#flushAt = Number.POSITIVE_INFINITY;
      if (at < this.#retryAt) return null;
      if (this.write()) return 'resumed';
      this.#retryAt = at + RETRY_MS;
      return null;
    }
    if (at < this.#flushAt) return null;
    return this.write() ? null : 'failed';
  }

  /** A snapshot where one is due: often enough that a start folds few events, if it can be while nothing runs. */
  snapshotIfDue(show: Show, at: number): void {
    const since = show.n - this.#snapshotN;
    const wanted =
      (since >= SNAPSHOT_EVENTS && at - this.#snapshotAt >= SNAPSHOT_APART_MS) ||
      (at - this.#snapshotAt >= SNAPSHOT_MS && since >= SNAPSHOT_LEAST);
    if (!wanted || (show.runs.length > 0 && since < 4 * SNAPSHOT_EVENTS)) return;
    if (this.write()) this.snapshot(show, at);
  }

  /**
   * From here on another yard file holds: its text, and the state carried over to it as of the event before. What waits
   * belongs to the file before and must have been written. False where the disk refuses; then the file before still holds.
   */
  exchange(text: string, yardHash: string, carried: Show, at: number): boolean {
    try {
      this.#parts.journal.keepYard(yardHash, text);
      this.#parts.journal.snapshot(carried.n, yardHash, saveShow(carried));
    } catch (error) {
      this.why = error instanceof Error ? error.message : String(error);
      return false;
    }
    this.#yardHash = yardHash;
    this.#snapshotN = carried.n;
    this.#snapshotAt = at;
    return true;
  }

  snapshot(show: Show, at: number): void {
    try {
      this.#parts.journal.snapshot(show.n, this.#yardHash, saveShow(show));
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      this.#parts.log.error(`no snapshot could be kept: ${why}`);
    }
    this.#snapshotN = show.n;
    this.#snapshotAt = at;
  }
}
