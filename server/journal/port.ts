import type { Event } from '../show/events.ts';

/** A line for people, from the core's `record` effects. */
export interface Line {
  /** Number of the event that led to it. */
  readonly n: number;
  /** ms since 1970 by the wall clock. */
  readonly at: number;
  readonly code: string;
  /** The whole reason as JSON. */
  readonly reason: string;
  readonly text: string;
  readonly prop: string | null;
  readonly scene: string | null;
  readonly run: string | null;
}

export interface StoredLine extends Line {
  /** Its own number, from 1 without gaps. */
  readonly id: number;
}

/** The record on disk. Synchronous: when `append` returns, what it was given survives a power cut. */
export interface JournalPort {
  /** One durable transaction. Throws `JournalError` (with a sentence in `message`) where the disk refuses; nothing of it is kept then. */
  append(events: readonly Event[], lines: readonly Line[]): void;
  /** Keeps the core's state as of event `n`, as JSON, with the hash of the yard file's text that it belongs to. */
  snapshot(n: number, yardHash: string, state: string): void;
  /** Keeps a yard file's text by its hash (SHA-256, hex). */
  keepYard(hash: string, text: string): void;
  yardText(hash: string): string | null;
  /** The newest snapshot (at or before event `upTo` where given). */
  latestSnapshot(upTo?: number): { n: number; yardHash: string; state: string } | null;
  /** Events numbered above `after`, in order, at most `limit`. */
  events(after: number, limit: number): Event[];
  lines(after: number, limit: number): StoredLine[];
  /** Lines between two instants, wall clock, for a night's report. */
  linesBetween(fromMs: number, toMs: number): StoredLine[];
  /** Lines of one code, numbered above `after`, in order, at most `limit`. */
  linesOf(code: string, after: number, limit: number): StoredLine[];
  /** The last line of any of these codes; null if none. */
  lastLineOf(codes: readonly string[]): StoredLine | null;
  /** Number of the last event kept; 0 if none. */
  lastEvent(): number;
  /** Number of the last line; 0 if none. */
  lastLine(): number;
  close(): void;
}
