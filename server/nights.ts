import type { JournalPort } from './journal/port.ts';

/** A night that the record knows. */
export interface KnownNight {
  /** `YYYY-MM-DD`, with `-hand` behind it for a night by hand. */
  night: string;
  /** When its plan was first drawn up, ms since 1970. */
  plannedAt: number;
  /** How many runs were planned then. */
  runs: number;
}

const PAGE = 1000;
/** Several seasons. */
const NIGHTS_AT_MOST = 400;

/** The nights for which a plan was drawn up, newest first, each once. A night opened with nothing planned is not among them. */
export function nightsKnown(journal: JournalPort): KnownNight[] {
  const nights = new Map<string, KnownNight>();
  for (let after = 0; ; ) {
    const lines = journal.linesOf('plan-drawn', after, PAGE);
    for (const line of lines) {
      const { night, runs } = JSON.parse(line.reason) as { night: string; runs: number };
      if (!nights.has(night)) nights.set(night, { night, plannedAt: line.at, runs });
    }
    if (lines.length < PAGE) break;
    after = lines.at(-1)!.id;
  }
  return [...nights.values()].sort((a, b) => b.plannedAt - a.plannedAt).slice(0, NIGHTS_AT_MOST);
}
