/** A day of the calendar, as a language's own `day` says it. */
export interface Day {
  /** 0 is Sunday. */
  readonly weekday: number;
  readonly day: number;
  /** 1 to 12. */
  readonly month: number;
  readonly year: number;
}

/** The day that `2026-10-31` names, or a night's name that begins so; null where it names none. */
export function dayOf(iso: string): Day | null {
  const [, year, month, day] = (/^(\d{4})-(\d\d)-(\d\d)/.exec(iso) ?? []).map(Number);
  if (year === undefined || month === undefined || day === undefined) return null;
  if (month < 1 || month > 12 || day < 1 || day > 31) return null;
  return { weekday: weekdayOf(year, month, day), day, month, year };
}

/** By the rule of the Gregorian calendar, counted from a March: a leap day is then the last of its year. */
function weekdayOf(year: number, month: number, day: number): number {
  const inYear = month < 3 ? year - 1 : year;
  const sinceMarch = (month + 9) % 12;
  const leapDays = Math.floor(inYear / 4) - Math.floor(inYear / 100) + Math.floor(inYear / 400);
  return (inYear + leapDays + Math.floor((13 * sinceMarch + 2) / 5) + day + 2) % 7;
}
