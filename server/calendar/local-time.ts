import type { Yard } from '../yard/types.ts';
import { repeatOf, type Wall, wallOf } from './wall.ts';

type Place = Pick<Yard, 'timezone'>;

/**
 * What the clock in the yard shows, for people: `18:06`, or `18:06:09` with seconds. In the hour that the clock
 * change repeats it says which of the two is meant: `01:30 (first)`, `01:30 (second)`.
 */
export function localTime(yard: Place, ms: number, options: { readonly seconds?: boolean } = {}): string {
  const wall = wallOf(yard.timezone, ms);
  const text = options.seconds ? `${clock(wall)}:${two(wall.second)}` : clock(wall);
  const repeat = repeatOf(yard.timezone, ms);
  return repeat === null ? text : `${text} (${repeat})`;
}

/** The date in the yard at an instant, `YYYY-MM-DD`. */
export function localDate(yard: Place, ms: number): string {
  return wallOf(yard.timezone, ms).date;
}

/** `2026-10-31T18:06:00-05:00` (RFC 3339), with three decimals only where it is no whole second. */
export function rfc3339(yard: Place, ms: number): string {
  const wall = wallOf(yard.timezone, ms);
  const fraction = wall.ms === 0 ? '' : `.${String(wall.ms).padStart(3, '0')}`;
  return `${wall.date}T${clock(wall)}:${two(wall.second)}${fraction}${offset(wall.offsetMs)}`;
}

function clock(wall: Wall): string {
  return `${two(wall.hour)}:${two(wall.minute)}`;
}

function offset(offsetMs: number): string {
  const minutes = Math.round(Math.abs(offsetMs) / 60_000);
  return `${offsetMs < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

function two(n: number): string {
  return String(n).padStart(2, '0');
}
