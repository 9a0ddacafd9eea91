import { localTime } from './calendar/local-time.ts';
import type { Entry } from './show/effects.ts';
import type { Show } from './show/show.ts';
import { sayEntry, type WordContext } from './words/reasons.ts';

/** Local times of instants on the desk's axis. */
export function wordsOf(show: Show, at: number): WordContext {
  const wall = (ms: number): number => ms + show.offsetMs;
  return {
    yard: show.yard,
    clock: (ms) => localTime(show.yard, wall(ms), { seconds: true }),
    short: (ms) => localTime(show.yard, wall(ms)),
    now: at,
  };
}

export function tellEntry(entry: Entry, show: Show): string {
  return sayEntry(entry, wordsOf(show, show.at));
}
