import { Temporal } from 'temporal-polyfill';

/**
 * Wall times and instants of one time zone. Dates are `YYYY-MM-DD`, instants ms since 1970.
 *
 * The rule where the clock change repeats or skips a wall time is RFC 5545, 3.3.5 (what Temporal calls
 * `compatible`): a repeated time is the first of the two; a skipped one counts by the offset before the gap.
 */

export const MINUTE_MS = 60_000;
export const DAY_MS = 86_400_000;

export interface Wall {
  readonly date: string;
  readonly hour: number;
  readonly minute: number;
  readonly second: number;
  /** Fraction of the second, ms, with its own fraction dropped. */
  readonly ms: number;
  /** East of Greenwich positive. */
  readonly offsetMs: number;
}

/** Whether this machine's table knows the zone by an IANA name; a bare offset such as `+05:00` is no zone. */
export function isTimezone(name: string): boolean {
  if (!/^[A-Za-z]/.test(name)) return false;
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

/** Whether the text is a real day as `YYYY-MM-DD`. */
export function isDate(text: string): boolean {
  const day = dayOf(text);
  return !Number.isNaN(day) && dateOf(day) === text;
}

/** A date as days since 1970-01-01; NaN for what is no date at all. */
export function dayOf(date: string): number {
  const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(date);
  if (!parts) return Number.NaN;
  return Date.UTC(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3])) / DAY_MS;
}

export function dateOf(day: number): string {
  return new Date(day * DAY_MS).toISOString().slice(0, 10);
}

export function addDays(date: string, days: number): string {
  return dateOf(dayOf(date) + days);
}

/** The instant of a wall time on a date, under the rule above. */
export function instantOf(zone: string, date: string, hour: number, minute: number): number {
  return Temporal.PlainDate.from(date)
    .toPlainDateTime({ hour, minute })
    .toZonedDateTime(zone, { disambiguation: 'compatible' }).epochMilliseconds;
}

/** What the wall clock shows at an instant. */
export function wallOf(zone: string, ms: number): Wall {
  const z = zoned(zone, ms);
  return {
    date: z.toPlainDate().toString(),
    hour: z.hour,
    minute: z.minute,
    second: z.second,
    ms: z.millisecond,
    offsetMs: Math.round(z.offsetNanoseconds / 1e6),
  };
}

/** Which of the two it is, where the clock shows this wall time twice; null where it shows it once. */
export function repeatOf(zone: string, ms: number): 'first' | 'second' | null {
  const here = zoned(zone, ms);
  const wall = here.toPlainDateTime();
  const first = wall.toZonedDateTime(zone, { disambiguation: 'earlier' }).epochMilliseconds;
  const second = wall.toZonedDateTime(zone, { disambiguation: 'later' }).epochMilliseconds;
  if (first === second) return null;
  return here.epochMilliseconds === first ? 'first' : 'second';
}

function zoned(zone: string, ms: number): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(ms)).toZonedDateTimeISO(zone);
}
