import type { JournalPort } from '../journal/port.ts';

/** A night that the record knows. */
export interface KnownNight {
  /** `YYYY-MM-DD`, with `-hand` behind it for a night by hand. */
  night: string;
  /** When its plan was first drawn up, ms since 1970; null where nothing was ever planned in it. */
  plannedAt: number | null;
  /** How many runs were planned then. */
  runs: number;
  /** When it was first opened, ms since 1970; null where it never was, or was by a version that did not say. */
  openedAt: number | null;
}

const PAGE = 1000;
/** Several seasons. */
const NIGHTS_AT_MOST = 400;

/**
 * The nights that the record knows, from the lines of their plans and of their openings. Kept from one question to the
 * next, so that only lines that are new are read.
 */
export class NightsKnown {
  readonly #journal: Pick<JournalPort, 'linesOf'>;
  readonly #nights = new Map<string, KnownNight>();
  #drawnTo = 0;
  #openedTo = 0;

  constructor(journal: Pick<JournalPort, 'linesOf'>) {
    this.#journal = journal;
  }

  /** Newest first, each once. */
  list(): KnownNight[] {
    this.#drawnTo = this.#read('plan-drawn', this.#drawnTo, (known, at, { runs = 0 }) => {
      if (known.plannedAt === null) Object.assign(known, { plannedAt: at, runs });
    });
    this.#openedTo = this.#read('mode-now', this.#openedTo, (known, at) => {
      known.openedAt ??= at;
    });
    return [...this.#nights.values()].sort((a, b) => beganAt(b) - beganAt(a)).slice(0, NIGHTS_AT_MOST);
  }

  /** Takes each line of a code that names a night; returns the number of the last line read. */
  #read(
    code: string,
    from: number,
    take: (known: KnownNight, at: number, reason: { runs?: number }) => void,
  ): number {
    for (let after = from; ; ) {
      const lines = this.#journal.linesOf(code, after, PAGE);
      for (const line of lines) {
        const reason = JSON.parse(line.reason) as { night?: string; runs?: number };
        if (reason.night !== undefined) take(this.#of(reason.night), line.at, reason);
      }
      after = lines.at(-1)?.id ?? after;
      if (lines.length < PAGE) return after;
    }
  }

  #of(night: string): KnownNight {
    const known = this.#nights.get(night) ?? { night, plannedAt: null, runs: 0, openedAt: null };
    this.#nights.set(night, known);
    return known;
  }
}

const beganAt = ({ plannedAt, openedAt }: KnownNight): number =>
  Math.min(plannedAt ?? Number.POSITIVE_INFINITY, openedAt ?? Number.POSITIVE_INFINITY);
