import { getTimes } from 'suncalc';
import type { Yard } from '../yard/types.ts';
import { instantOf, MINUTE_MS } from './wall.ts';

/**
 * When the sun sets (upper limb on the horizon with refraction, -0.833 degrees) or civil dusk ends (centre at
 * -6 degrees) on a local date, ms since 1970 rounded to the whole minute; null where that does not happen.
 *
 * The library is given local noon of the date: west of Greenwich the sunset of a local date mostly falls on the next
 * date of UTC, so that the UTC date would give yesterday's.
 */
export function sunMs(
  yard: Pick<Yard, 'timezone' | 'latitude' | 'longitude'>,
  date: string,
  event: 'sunrise' | 'sunset' | 'dusk',
): number | null {
  const noon = new Date(instantOf(yard.timezone, date, 12, 0));
  const at = getTimes(noon, yard.latitude, yard.longitude)[event];
  return at === null ? null : Math.round(at.getTime() / MINUTE_MS) * MINUTE_MS;
}
