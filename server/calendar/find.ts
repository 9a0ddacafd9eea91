import type { NightTimes } from '../plan/tonight.ts';
import type { Yard } from '../yard/types.ts';
import { nightOn } from './night.ts';
import { dateOf, dayOf, wallOf } from './wall.ts';

/** How far ahead a night is looked for: a yard that shows on 29 February only waits eight years at the turn of a century. */
const HORIZON_DAYS = 9 * 366;

/** The night whose open to close holds this instant; it is over at `closeMs` itself. */
export function nightAt(yard: Yard, ms: number): NightTimes | null {
  return around(yard, ms).find((night) => night.openMs <= ms && ms < night.closeMs) ?? null;
}

/** The night that has been prepared, or should have been, and is not over yet. */
export function preparedNight(yard: Yard, ms: number): NightTimes | null {
  // Of two that overlap (the file check complains) the later is the one being prepared.
  return around(yard, ms).findLast((night) => night.prepareMs <= ms && ms < night.closeMs) ?? null;
}

/** The first night that opens after this instant; null if none does within nine years. */
export function nextNight(yard: Yard, ms: number): NightTimes | null {
  return first(yard, ms, (night) => night.openMs > ms, 1)[0] ?? null;
}

/** The night of that name; null for one opened by hand, which is in no file. */
export function nightNamed(yard: Yard, name: string): NightTimes | null {
  return nightOn(yard, name);
}

/** The nights not over at this instant, in order, the one under way first; at most `count`, within nine years. */
export function upcoming(yard: Yard, fromMs: number, count: number): NightTimes[] {
  return first(yard, fromMs, (night) => night.closeMs > fromMs, count);
}

/** Nights prepared on the local date of an instant or on the two before it: none lasts longer. */
function around(yard: Yard, ms: number): NightTimes[] {
  const today = dayOf(wallOf(yard.timezone, ms).date);
  return [today - 2, today - 1, today].flatMap((day) => nightOn(yard, dateOf(day)) ?? []);
}

function first(
  yard: Yard,
  fromMs: number,
  wanted: (night: NightTimes) => boolean,
  count: number,
): NightTimes[] {
  const found: NightTimes[] = [];
  const today = dayOf(wallOf(yard.timezone, fromMs).date);
  for (let day = today - 2; day < today + HORIZON_DAYS && found.length < count; day += 1) {
    const night = nightOn(yard, dateOf(day));
    if (night && wanted(night)) found.push(night);
  }
  return found;
}
