import type { Yard } from '../yard/types.ts';

/**
 * Zones whose law changed after tables that are still about. The clock change that the older table makes there on
 * 1 November 2026 does not happen. Releases by the announcements of the IANA time zone database.
 */
const CHANGED: readonly { readonly zone: string; readonly release: string; readonly what: string }[] = [
  { zone: 'America/Vancouver', release: '2026b', what: 'British Columbia stays at -07:00 all year' },
  { zone: 'America/Edmonton', release: '2026c', what: 'Alberta stays at -06:00 all year' },
  { zone: 'Africa/Casablanca', release: '2026c', what: 'Morocco stays at +00:00 all year' },
];

export interface TzCheck {
  /** Release of the time zone table that this Node carries, as `2025c`; null if it does not say. */
  readonly carried: string | null;
  /** A sentence, null where nothing is known to be wrong. */
  readonly warning: string | null;
}

/** Whether the table that Node carries is known to be too old for the yard's zone. */
export function tzCheck(
  yard: Pick<Yard, 'timezone'>,
  carried: string | null = process.versions.tz ?? null,
): TzCheck {
  const zone = canonical(yard.timezone);
  const changed = CHANGED.find((c) => canonical(c.zone) === zone);
  // Releases sort as text: a year, then a letter.
  if (!changed || (carried !== null && carried >= changed.release)) return { carried, warning: null };
  const has = carried === null ? 'does not say which one it has' : `has ${carried}`;
  return {
    carried,
    warning:
      `Clock times of ${yard.timezone} may be an hour off: ${changed.what} since time zone table ` +
      `${changed.release}, and this Node ${has}. Install a newer Node, or start it with --icu-data-dir and newer data.`,
  };
}

/** Old names of a zone lead to its present one (`Canada/Pacific`, `US/Pacific`). */
function canonical(zone: string): string {
  try {
    return new Intl.DateTimeFormat('en', { timeZone: zone }).resolvedOptions().timeZone;
  } catch {
    return zone;
  }
}
