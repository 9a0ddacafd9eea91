import type { Event } from '../show/events.ts';
import type { JournalPort, StoredLine } from './port.ts';
import type { ReplaySource, Snapshot } from './replay.ts';
import { JournalError } from './trouble.ts';

/**
 * The record of a rehearsal, kept in memory and gone with it. Never of a live yard: nothing here survives a power cut.
 * It gives back copies, as a disk would.
 */
export function memoryJournal(): JournalPort & ReplaySource {
  const events: string[] = [];
  const numbers: number[] = [];
  const lines: StoredLine[] = [];
  const snapshots: Snapshot[] = [];
  const yards = new Map<string, string>();

  const lastEvent = (): number => Math.max(0, numbers.at(-1) ?? 0, snapshots.at(-1)?.n ?? 0);

  return {
    append(added, said) {
      let last = lastEvent();
      for (const { n } of added) {
        if (!(n > last))
          throw new JournalError('order', 'rehearsal', { detail: `event ${n} after event ${last}` });
        last = n;
      }
      for (const event of added) {
        events.push(JSON.stringify(event));
        numbers.push(event.n);
      }
      for (const line of said) lines.push({ id: lines.length + 1, ...line });
    },
    snapshot(n, yardHash, state) {
      const at = firstAbove(snapshots, n - 1, (s) => s.n);
      snapshots.splice(at, snapshots[at]?.n === n ? 1 : 0, { n, yardHash, state });
    },
    keepYard(hash, text) {
      if (!yards.has(hash)) yards.set(hash, text);
    },
    yardText: (hash) => yards.get(hash) ?? null,
    latestSnapshot: (upTo = Number.MAX_SAFE_INTEGER) =>
      snapshots[firstAbove(snapshots, upTo, (s) => s.n) - 1] ?? null,
    nextSnapshot: (after) => snapshots[firstAbove(snapshots, after, (s) => s.n)] ?? null,
    events(after, limit) {
      const from = firstAbove(numbers, after, (n) => n);
      return events.slice(from, from + limit).map((text) => JSON.parse(text) as Event);
    },
    lines: (after, limit) =>
      lines.slice(Math.max(0, after), Math.max(0, after) + limit).map((l) => ({ ...l })),
    linesBetween: (fromMs, toMs) => lines.filter((l) => l.at >= fromMs && l.at < toMs).map((l) => ({ ...l })),
    linesOf: (code, after, limit) =>
      lines
        .filter((l) => l.id > after && l.code === code)
        .slice(0, Math.max(0, limit))
        .map((l) => ({ ...l })),
    lastLineOf(codes) {
      const last = lines.findLast((l) => codes.includes(l.code));
      return last ? { ...last } : null;
    },
    lastEvent,
    lastLine: () => lines.length,
    close() {},
  };
}

/** Index of the first item whose number is above `n`, of items in rising order. */
function firstAbove<T>(items: readonly T[], n: number, numberOf: (item: T) => number): number {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (numberOf(items[middle]!) > n) high = middle;
    else low = middle + 1;
  }
  return low;
}
