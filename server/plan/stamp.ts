/**
 * Instants as RFC 3339 and back, by arithmetic alone: this room knows no clock and no zone. Days are those of the
 * Gregorian calendar, counted in its cycles of 400 years from 1 March 0000.
 */
const DAY_MS = 86_400_000;
/** Days from 1 March 0000 to 1 January 1970. */
const EPOCH_DAYS = 719_468;

/** RFC 3339 in UTC, whole seconds. */
export function utcStamp(ms: number): string {
  const days = Math.floor(ms / DAY_MS);
  const second = Math.floor((ms - days * DAY_MS) / 1000);
  const { year, month, day } = dateOf(days);
  const clock = [Math.floor(second / 3600), Math.floor(second / 60) % 60, second % 60].map((n) =>
    digits(n, 2),
  );
  return `${digits(year, 4)}-${digits(month, 2)}-${digits(day, 2)}T${clock.join(':')}Z`;
}

/** ms since 1970 of an RFC 3339 instant, as the plan carries it. */
export function msOf(stamp: string): number {
  const found = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(\.\d+)?(?:Z|([+-])(\d\d):(\d\d))$/.exec(stamp);
  if (!found) throw new Error(`no instant: ${stamp}`);
  const [year, month, day, hour, minute, second] = found.slice(1, 7).map(Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const offset = found[8] ? (Number(found[9]) * 60 + Number(found[10])) * (found[8] === '+' ? 1 : -1) : 0;
  const fraction = Math.round(Number(found[7] ?? 0) * 1000);
  return daysOf(year, month, day) * DAY_MS + ((hour * 60 + minute - offset) * 60 + second) * 1000 + fraction;
}

function dateOf(days: number): { year: number; month: number; day: number } {
  const shifted = days + EPOCH_DAYS;
  const era = Math.floor(shifted / 146_097);
  const dayOfEra = shifted - era * 146_097;
  const yearOfEra = Math.floor(
    (dayOfEra -
      Math.floor(dayOfEra / 1460) +
      Math.floor(dayOfEra / 36_524) -
      Math.floor(dayOfEra / 146_096)) /
      365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const march = Math.floor((5 * dayOfYear + 2) / 153);
  const month = march >= 10 ? march - 9 : march + 3;
  const day = dayOfYear - Math.floor((153 * march + 2) / 5) + 1;
  return { year: yearOfEra + era * 400 + (month <= 2 ? 1 : 0), month, day };
}

function daysOf(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const march = month > 2 ? month - 3 : month + 9;
  const dayOfYear = Math.floor((153 * march + 2) / 5) + day - 1;
  const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146_097 + dayOfEra - EPOCH_DAYS;
}

function digits(n: number, width: number): string {
  return String(n).padStart(width, '0');
}
