import type { NightTimes } from '../plan/tonight.ts';
import type { Yard } from '../yard/types.ts';
import { localTime } from './local-time.ts';
import { findNight, type NoNight, prepareOf } from './night.ts';
import { dateOf, dayOf } from './wall.ts';
import { whyNoNight } from './why.ts';

export type NightKey = 'prepare' | 'open' | 'close' | 'quiet' | 'notice';

export interface NightProblem {
  /** Index of the entry in the file's `nights`, from 0. */
  readonly entry: number;
  /** The key to look at. */
  readonly key: NightKey;
  readonly code:
    | Exclude<NoNight['code'], 'not-a-date' | 'dark' | 'no-entry'>
    | 'unreadable'
    | 'twice'
    | 'overlap'
    | 'never'
    | 'prepares-in-a-night'
    | 'notice-before-prepare'
    | 'quiet-after-close';
  readonly severity: 'error' | 'warning';
  /** The first date on which it shows; null where it is no matter of a date. */
  readonly date: string | null;
  readonly text: string;
}

interface Dated {
  readonly entry: number;
  readonly night: NightTimes;
}

/**
 * What is wrong with the nights of a yard in the years from `fromYear` to `toYear`, both included: each kind of
 * problem once an entry, with the first date on which it shows, in the order of the file. Pure.
 */
export function checkNights(yard: Yard, fromYear: number, toYear: number): NightProblem[] {
  const problems: NightProblem[] = [];
  const add = (problem: NightProblem): void => {
    if (problem.date !== null && problem.date < `${fromYear}-01-01`) return;
    if (
      !problems.some((p) => p.entry === problem.entry && p.code === problem.code && p.key === problem.key)
    ) {
      problems.push(problem);
    }
  };
  for (const [entry, { prepare }] of yard.nights.entries()) {
    const read = prepareOf(yard.nights[entry]!);
    if (read.ok) continue;
    add(error(entry, 'prepare', read.code, null, `prepare "${prepare}" ${read.why}.`));
  }

  const made = new Set<number>();
  let before: Dated | null = null;
  // The last night of the year before may still be under way on New Year's Day.
  for (let day = dayOf(`${fromYear}-01-01`) - 2; day <= dayOf(`${toYear}-12-31`); day += 1) {
    const date = dateOf(day);
    const found = findNight(yard, date);
    if (found.why) {
      if ('entry' in found.why) made.add(found.why.entry);
      const problem = problemOf(yard, date, found.why);
      if (problem) add(problem);
      continue;
    }
    made.add(found.entry);
    for (const problem of pairProblems(yard, before, found)) add(problem);
    for (const problem of oddities(yard, found)) add(problem);
    before = found;
  }
  for (const entry of yard.nights.keys()) {
    if (!made.has(entry) && prepareOf(yard.nights[entry]!).ok) add(never(entry, fromYear, toYear));
  }
  return problems.sort((a, b) => a.entry - b.entry);
}

function problemOf(yard: Yard, date: string, why: NoNight): NightProblem | null {
  if (why.code === 'not-a-date' || why.code === 'no-entry' || why.code === 'dark') return null;
  const key = why.code === 'no-sun' ? why.key : KEYS[why.code];
  return error(why.entry, key, why.code, date, whyNoNight(yard, date, why));
}

/** Where to look for each. */
const KEYS = {
  'open-other-day': 'open',
  'prepare-late': 'prepare',
  'close-early': 'close',
  'too-long': 'close',
} as const;

function pairProblems(yard: Yard, before: Dated | null, found: Dated): NightProblem[] {
  if (!before) return [];
  const { night, entry } = found;
  const closes = `The night of ${before.night.date} closes at ${localTime(yard, before.night.closeMs)}`;
  if (night.openMs < before.night.closeMs) {
    const text = `${closes} on ${night.date}, after the next has opened at ${localTime(yard, night.openMs)}; nights must not overlap.`;
    return [error(entry, 'open', 'overlap', night.date, text)];
  }
  const begins = Math.min(night.prepareMs, night.openMs - night.noticeMs);
  if (begins < before.night.closeMs) {
    const text = `${closes} on ${night.date}, after the next is prepared or gives notice; the next opens by itself only from closed.`;
    return [warning(entry, 'prepare', 'prepares-in-a-night', night.date, text)];
  }
  return [];
}

function oddities(yard: Yard, { night, entry }: Dated): NightProblem[] {
  const odd: NightProblem[] = [];
  if (night.openMs - night.noticeMs < night.prepareMs) {
    const text = `On ${night.date} the notice before open begins before prepare at ${localTime(yard, night.prepareMs)}, so it is cut short or the opening late; prepare earlier.`;
    odd.push(warning(entry, 'notice', 'notice-before-prepare', night.date, text));
  }
  if (night.quietMs !== null && night.quietMs > night.closeMs) {
    const text = `On ${night.date} quiet comes after close and so never begins; a quiet earlier than open on the clock means the next day.`;
    odd.push(warning(entry, 'quiet', 'quiet-after-close', night.date, text));
  }
  return odd;
}

function never(entry: number, fromYear: number, toYear: number): NightProblem {
  const years = fromYear === toYear ? `${fromYear}` : `${fromYear} to ${toYear}`;
  const text = `This entry makes no night in ${years}: its dates do not come, or an entry above has them all.`;
  return warning(entry, 'prepare', 'never', null, text);
}

function error(
  entry: number,
  key: NightKey,
  code: NightProblem['code'],
  date: string | null,
  text: string,
): NightProblem {
  return { entry, key, code, severity: 'error', date, text };
}

function warning(
  entry: number,
  key: NightKey,
  code: NightProblem['code'],
  date: string | null,
  text: string,
): NightProblem {
  return { entry, key, code, severity: 'warning', date, text };
}
