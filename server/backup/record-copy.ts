import { openJournal } from '../journal/sqlite.ts';

const LINES_BATCH = 5_000;
const EVENTS_BATCH = 5_000;
/** The newest so many lines: many seasons of them. */
const LINES_MOST = 400_000;

/**
 * Copies a record, also that of a running daemon, into an empty folder: all lines that people read, the newest state
 * and the events after it, and the yard files that these belong to. The events before that state only serve a replay and are
 * left behind: they are most of a record. Throws `JournalError`.
 */
export function copyRecord(fromDir: string, toDir: string): { nights: number } {
  const from = openJournal(fromDir, { readOnly: true });
  try {
    const to = openJournal(toDir);
    try {
      const newest = from.latestSnapshot();
      const last = newest === null ? 0 : newest.n;
      if (newest !== null) {
        const text = from.yardText(newest.yardHash);
        if (text !== null) to.keepYard(newest.yardHash, text);
        to.snapshot(newest.n, newest.yardHash, newest.state);
      }
      for (let after = last; ; ) {
        const events = from.events(after, EVENTS_BATCH);
        if (events.length === 0) break;
        to.append(events, []);
        after = events.at(-1)!.n;
      }
      return { nights: copyLines(from, to) };
    } finally {
      to.close();
    }
  } finally {
    from.close();
  }
}

/** Copies the lines, and tells of how many nights they know a plan. */
function copyLines(from: ReturnType<typeof openJournal>, to: ReturnType<typeof openJournal>): number {
  const nights = new Set<string>();
  for (let after = Math.max(0, from.lastLine() - LINES_MOST); ; ) {
    const lines = from.lines(after, LINES_BATCH);
    if (lines.length === 0) return nights.size;
    to.append([], lines);
    for (const { code, reason } of lines)
      if (code === 'plan-drawn') nights.add((JSON.parse(reason) as { night: string }).night);
    after = lines.at(-1)!.id;
  }
}
