import type { StopNumbers } from '../../server/journal/numbers.ts';
import type { JournalPort, Line } from '../../server/journal/port.ts';
import type { ReplaySource, Snapshot } from '../../server/journal/replay.ts';
import { JournalError } from '../../server/journal/trouble.ts';
import type { Event, PlannedStart } from '../../server/show/events.ts';

export type DiskTrouble = 'full' | 'read-only' | 'io';

/** What a process may touch of the disk; dead once the process is. */
export interface DiskPorts {
  readonly journal: JournalPort & ReplaySource;
  readonly numbers: {
    readonly now: StopNumbers;
    write(raised: Partial<StopNumbers>): void;
    tryWrite(raised: Partial<StopNumbers>): boolean;
  };
}

/** Told around each write, so that a process may die before or after it. */
export interface DiskWatch {
  readonly alive: boolean;
  before(what: 'append' | 'numbers'): void;
  after(what: 'append' | 'numbers'): void;
  recordLine(line: Line): void;
}

const TAIL_KEPT = 40;

/**
 * The disk of one computer: the journal as transactions that are there whole or not at all, and the small file of
 * numbers, which was allotted beforehand and so can be written on a full disk. It survives the process; a disk that
 * lied about what it had written loses its last transactions at a power cut.
 */
export class Disk {
  trouble: DiskTrouble | null = null;
  #events: Event[] = [];
  #snapshots: Snapshot[] = [];
  /** Lengths before each of the last transactions. */
  #tail: { events: number; snapshots: number }[] = [];
  #numbers: StopNumbers = { stop: 0, cleared: 0, epoch: 0 };
  readonly yards = new Map<string, string>();
  /** Plans drawn, by night and file, as the daemon keeps them beside the record. */
  readonly plans = new Map<string, readonly PlannedStart[]>();
  writes = 0;
  lines = 0;

  get numbers(): StopNumbers {
    return this.#numbers;
  }

  /** Number of the last event that is on the disk. */
  get lastEvent(): number {
    return Math.max(0, this.#events.at(-1)?.n ?? 0, this.#snapshots.at(-1)?.n ?? 0);
  }

  get eventCount(): number {
    return this.#events.length;
  }

  /** The power goes and the last transactions with it. */
  loseTail(count: number): void {
    const at = this.#tail.length - count;
    const then = this.#tail[Math.max(0, at)];
    if (!then) return;
    this.#events.length = then.events;
    this.#snapshots.length = Math.max(1, then.snapshots);
    this.#tail.length = Math.max(0, at);
  }

  ports(watch: DiskWatch): DiskPorts {
    return { journal: this.#journal(watch), numbers: this.#numbersPort(watch) };
  }

  #refuse(): void {
    if (this.trouble) throw new JournalError(this.trouble, 'storm');
  }

  #transact(work: () => void): void {
    this.#refuse();
    this.#tail.push({ events: this.#events.length, snapshots: this.#snapshots.length });
    if (this.#tail.length > TAIL_KEPT) this.#tail.shift();
    this.writes += 1;
    work();
  }

  #journal(watch: DiskWatch): JournalPort & ReplaySource {
    return {
      append: (events, lines) => {
        if (events.length === 0 && lines.length === 0) return;
        watch.before('append');
        if (!watch.alive) return;
        this.#refuse();
        let last = this.lastEvent;
        for (const event of events) {
          if (!(event.n > last))
            throw new JournalError('order', 'storm', { detail: `event ${event.n} after event ${last}` });
          last = event.n;
        }
        this.#transact(() => {
          this.#events.push(...events);
          this.lines += lines.length;
        });
        for (const line of lines) watch.recordLine(line);
        watch.after('append');
      },
      snapshot: (n, yardHash, state) => {
        if (!watch.alive) return;
        this.#transact(() => {
          const kept = this.#snapshots.filter((s) => s.n !== n);
          this.#snapshots = [...kept, { n, yardHash, state }].sort((a, b) => a.n - b.n);
        });
      },
      keepYard: (hash, text) => {
        if (!watch.alive) return;
        this.#refuse();
        if (!this.yards.has(hash)) this.yards.set(hash, text);
      },
      yardText: (hash) => this.yards.get(hash) ?? null,
      latestSnapshot: (upTo = Number.MAX_SAFE_INTEGER) =>
        this.#snapshots.findLast((s) => s.n <= upTo) ?? null,
      nextSnapshot: (after) => this.#snapshots.find((s) => s.n > after) ?? null,
      events: (after, limit) => this.#eventsAfter(after, limit),
      lines: () => [],
      linesBetween: () => [],
      linesOf: () => [],
      lastLineOf: () => null,
      lastEvent: () => this.lastEvent,
      lastLine: () => this.lines,
      close: () => {},
    };
  }

  /** Read back as a disk gives it: as text made anew. */
  #eventsAfter(after: number, limit: number): Event[] {
    let low = 0;
    let high = this.#events.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#events[middle]!.n > after) high = middle;
      else low = middle + 1;
    }
    return JSON.parse(JSON.stringify(this.#events.slice(low, low + limit))) as Event[];
  }

  #numbersPort(watch: DiskWatch): DiskPorts['numbers'] {
    const write = (raised: Partial<StopNumbers>): void => {
      watch.before('numbers');
      if (!watch.alive) return;
      const now = this.#numbers;
      const next = {
        stop: Math.max(now.stop, raised.stop ?? 0),
        cleared: Math.max(now.cleared, raised.cleared ?? 0),
        epoch: Math.max(now.epoch, raised.epoch ?? 0),
      };
      const same = next.stop === now.stop && next.cleared === now.cleared && next.epoch === now.epoch;
      // written in place, so only a disk that takes nothing at all refuses
      if (!same && (this.trouble === 'read-only' || this.trouble === 'io'))
        throw new JournalError(this.trouble, 'storm numbers');
      this.#numbers = next;
      watch.after('numbers');
    };
    const numbers = (): StopNumbers => this.#numbers;
    return {
      get now() {
        return numbers();
      },
      write,
      tryWrite: (raised) => {
        try {
          write(raised);
          return watch.alive;
        } catch {
          return false;
        }
      },
    };
  }
}
