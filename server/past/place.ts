import type { JournalPort, StoredLine } from '../journal/port.ts';
import type { Event } from '../show/events.ts';

type Source = Pick<JournalPort, 'events' | 'lines' | 'linesBetween' | 'lastEvent'>;

/** Where in the record an instant lies. */
export interface Place {
  /** The last event that had happened by then. */
  readonly n: number;
  /** The instant on the desk's axis, ms. */
  readonly at: number;
  /** The yard computer was not running then: the next that happened is that it started. */
  readonly off: boolean;
}

/** From so long after its last event on, a yard computer that starts next was off; it writes several a second. */
const OFF_MS = 3000;
/** Spans in which the last line before an instant is looked for, widest last, ms: mostly it is a moment ago. */
const LOOK_BACK_MS = [60_000, 600_000, 7_200_000, 86_400_000, 60 * 86_400_000];
/** Lines of one event that are looked over for the next event's. */
const SAME_EVENT = 200;

/**
 * The place of an instant of the wall clock. The events are stamped on the desk's axis, the lines by the wall clock; each
 * step of the clock and each start writes a line, so between two lines the one differs from the other by the same
 * amount. Where the clock was set back and an hour came twice, the second is meant. Null where nothing is kept of then.
 */
export function placeOf(journal: Source, wallMs: number): Place | null {
  const line = lineBefore(journal, wallMs);
  if (!line) return null;
  const stamp = journal.events(line.n - 1, 1)[0];
  if (stamp?.n !== line.n) return null;
  const at = wallMs - (line.at - stamp.at);
  const n = lastBy(journal, stamp, lastOf(journal, line), at);
  const [last, next] = journal.events(n - 1, 2);
  const starts = next?.kind === 'deskStarted' || next?.waits === true;
  // what has come since the last event that is written is not known yet, and least of all that nobody was heard
  return { n, at: next ? at : Math.min(at, last!.at), off: starts && at - last!.at > OFF_MS };
}

/** The last line written by an instant of the wall clock. */
function lineBefore(journal: Source, wallMs: number): StoredLine | null {
  for (const ms of LOOK_BACK_MS) {
    const line = journal.linesBetween(wallMs - ms, wallMs + 1).at(-1);
    if (line) return line;
  }
  return null;
}

/** The last event before that of the next line: further on the clock may have been set. */
function lastOf(journal: Source, line: StoredLine): number {
  const next = journal.lines(line.id, SAME_EVENT).find(({ n }) => n > line.n);
  return next ? next.n - 1 : journal.lastEvent();
}

/** The last event stamped by `at`, from one that is on: numbers and stamps rise together, so it is found by halving. */
function lastBy(journal: Source, from: Event, to: number, at: number): number {
  let low = from.n;
  let high = to;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    const event = journal.events(middle - 1, 1)[0];
    if (event && event.n <= to && event.at <= at) low = event.n;
    else high = middle - 1;
  }
  return low;
}
