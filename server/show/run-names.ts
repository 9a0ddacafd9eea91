import type { SceneState } from './show.ts';

/*
 * The numbers of a scene's runs, by night: a run's name is never used twice. Nights long past are forgotten, but for the
 * highest number that any of them came to, under the empty key: where the clock brings such a night back (a small
 * computer without a clock of its own may wake in 1970 more than once), it numbers on from there.
 */

const PAST = '';

type Used = SceneState['used'];

/** The highest number given out under this night so far. */
export function usedIn(used: Used, night: string): number {
  if (Object.hasOwn(used, night)) return used[night]!;
  const newest = Object.keys(used).sort().at(-1) ?? PAST;
  return night < newest && Object.hasOwn(used, PAST) ? used[PAST]! : 0;
}

/** With this number given out. Nights before `since` (a date) are forgotten; left out, none is. */
export function withUsed(used: Used, night: string, number: number, since = ''): Used {
  const out: Record<string, number> = {};
  let past = 0;
  for (const [key, n] of Object.entries(used)) {
    if (key === PAST || key < since) past = Math.max(past, n);
    else out[key] = n;
  }
  if (past > 0) out[PAST] = past;
  out[night] = number;
  return out;
}
