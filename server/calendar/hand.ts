import type { NightTimes } from '../plan/tonight.ts';
import type { NightEntry, Yard } from '../yard/types.ts';
import { nextNight, nightAt } from './find.ts';
import { entryOn, laterThan, openOn } from './night.ts';
import { addDays, wallOf } from './wall.ts';

/**
 * Until this hour of the morning the quiet of the evening before still holds: a yard opened by hand at half past
 * midnight wakes the same neighbours. The file says when quiet begins and not when it ends; 07:00 is where
 * noise ordinances commonly put it.
 */
const MORNING_HOUR = 7;

/**
 * A night opened by hand: from now, for so long, named by the local date with `-hand` behind it. It is cut short at
 * the next night's notice. Quiet, notice and its scene are those of tonight's entry, else of the first entry (for
 * quiet: the first that has one). Where quiet has begun already, `quietMs` is `openMs`.
 *
 * Inside a night's hours, or once the notice of the next has begun, there is nothing to make: that night is given back.
 */
export function handNight(yard: Yard, nowMs: number, forMs: number): NightTimes {
  const now = nightAt(yard, nowMs);
  if (now) return now;
  const next = nextNight(yard, nowMs);
  const noticeFromMs = next ? next.openMs - next.noticeMs : Number.POSITIVE_INFINITY;
  if (next && noticeFromMs <= nowMs) return next;

  const wall = wallOf(yard.timezone, nowMs);
  const evening = wall.hour < MORNING_HOUR ? addDays(wall.date, -1) : wall.date;
  const tonight = yard.nights[entryOn(yard, evening)];
  const entry = tonight ?? yard.nights[0]!;
  return {
    date: `${wall.date}-hand`,
    prepareMs: nowMs,
    openMs: nowMs,
    closeMs: Math.min(nowMs + forMs, noticeFromMs),
    quietMs: quietOn(yard, tonight ?? yard.nights.find((n) => n.quiet !== null), evening, nowMs),
    opensByItself: false,
    noticeMs: entry.noticeMs,
    noticeScene: entry.noticeScene,
  };
}

/** An entry's quiet on an evening, not before now. Where the sun that it goes by does not set, quiet is at once. */
function quietOn(yard: Yard, entry: NightEntry | undefined, evening: string, nowMs: number): number | null {
  if (!entry?.quiet) return null;
  const open = openOn(yard, entry, evening) ?? { ms: nowMs, date: evening, clockMs: 0 };
  return Math.max(nowMs, laterThan(yard, evening, entry.quiet, open, false) ?? nowMs);
}
