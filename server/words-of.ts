import { localTime } from './calendar/local-time.ts';
import type { Entry } from './show/effects.ts';
import { type Show, wallOf } from './show/show.ts';
import { english } from './words/en/english.ts';
import { sayEntry, type WordContext } from './words/reasons.ts';
import type { Tongue } from './words/tongue.ts';

/** Local times of instants on the desk's axis, in a language; in English where none is named, as the commands are. */
export function wordsOf(show: Show, at: number, tongue: Tongue = english): WordContext {
  const wall = (ms: number): number => wallOf(show, ms);
  return {
    tongue,
    yard: show.yard,
    clock: (ms) => localTime(show.yard, wall(ms), { seconds: true }),
    short: (ms) => localTime(show.yard, wall(ms)),
    now: at,
  };
}

export function tellEntry(entry: Entry, show: Show, tongue: Tongue = english): string {
  return sayEntry(entry, wordsOf(show, show.at, tongue));
}
