const clocks = new Map<string, Intl.DateTimeFormat>();

function format(timezone: string, seconds: boolean): Intl.DateTimeFormat {
  const key = `${timezone} ${seconds}`;
  let found = clocks.get(key);
  if (!found) {
    const parts: Intl.DateTimeFormatOptions = { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' };
    if (seconds) parts.second = '2-digit';
    found = new Intl.DateTimeFormat('en-GB', { ...parts, timeZone: timezone });
    clocks.set(key, found);
  }
  return found;
}

/** The yard's wall clock, `21:14:05`; `atMs` since 1970. The phone's own zone never matters to it. */
export function clockOf(atMs: number, timezone: string): string {
  return format(timezone, true).format(atMs);
}

/** The same without seconds, `21:14`. */
export function shortClockOf(atMs: number, timezone: string): string {
  return format(timezone, false).format(atMs);
}

/** Whether the phone's clock shows another time than the yard's just now; `phone` is the zone of the phone. */
export function zonesDiffer(atMs: number, timezone: string, phone = phoneZone()): boolean {
  return (
    shortClockOf(atMs, phone) !== shortClockOf(atMs, timezone) ||
    dateOf(atMs, phone) !== dateOf(atMs, timezone)
  );
}

/** The zone that the phone is set to. */
export function phoneZone(): string {
  return new Intl.DateTimeFormat().resolvedOptions().timeZone;
}

/** Seconds with one decimal, without the unit: `7.1`. */
export function secondsOf(ms: number): string {
  return (Math.max(0, ms) / 1000).toFixed(1);
}

/** A length of time in the largest units that say enough: `14 s`, `3 min`, `2 h 05 min`. A longer one never reads shorter. */
export function lengthOf(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  if (seconds < 100) return `${seconds} s`;
  // to the nearest: cut off, 110 s would be 1 min and stand below 96 s
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** Hour of the day in the yard, 0–23. */
export function hourOf(atMs: number, timezone: string): number {
  return Number(shortClockOf(atMs, timezone).slice(0, 2));
}

const dates = new Map<string, Intl.DateTimeFormat>();

/** The yard's date, `2026-10-31`. */
export function dateOf(atMs: number, timezone: string): string {
  let found = dates.get(timezone);
  if (!found) {
    const parts = { year: 'numeric', month: '2-digit', day: '2-digit' } as const;
    found = new Intl.DateTimeFormat('en-GB', { ...parts, timeZone: timezone });
    dates.set(timezone, found);
  }
  const read = new Map(found.formatToParts(atMs).map(({ type, value }) => [type, value]));
  return `${read.get('year')}-${read.get('month')}-${read.get('day')}`;
}

/** Whether this is a time zone as a yard file wants it, `America/Chicago`. */
export function isZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return name.includes('/') || name === 'UTC';
  } catch {
    return false;
  }
}
