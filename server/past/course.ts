import { nightNamed } from '../calendar/find.ts';
import { instantOf, isDate } from '../calendar/wall.ts';
import type { JournalPort, StoredLine } from '../journal/port.ts';
import type { NightTimes } from '../plan/tonight.ts';
import { FATES } from '../report/runs.ts';
import { isClosed, isOf } from '../report/span.ts';
import type { Yard } from '../yard/types.ts';

/** A night's marks in order of time, for whoever goes through it; all ms since 1970. */
export interface Course {
  night: string;
  /** What the slider spans. */
  from: number;
  to: number;
  /** Start and end of each run that began; a run that has not ended ends at `to`. */
  runs: [from: number, to: number][];
  /** Runs that were skipped. */
  missed: number[];
  /** Lockouts. */
  faults: number[];
  stops: number[];
  /** Where the yard changed its mode, or its computer started. */
  turns: number[];
}

const DAY_MS = 86_400_000;
const BEFORE_MS = 600_000;
const AFTER_MS = 900_000;
/** The last seconds may not be written yet. */
const WRITTEN_MS = 2000;
const PLACES = {
  'run-skipped': 'missed',
  'lockout-raised': 'faults',
  'stop-pressed': 'stops',
  'mode-now': 'turns',
  'desk-started': 'turns',
} as const;

/**
 * The course of a night: its hours by the file where anything happened in them, and all that bears its name. Null where
 * nothing of it is recorded. `tonight` is the one that the desk knows now.
 */
export function courseOf(
  journal: Pick<JournalPort, 'linesBetween'>,
  yard: Yard,
  night: string,
  about: { readonly tonight: NightTimes | null; readonly nowMs: number },
): Course | null {
  const date = night.slice(0, 10);
  if (!isDate(date)) return null;
  const day = instantOf(yard.timezone, date, 0, 0);
  const lines = journal.linesBetween(day, day + 2 * DAY_MS);
  const hours = about.tonight?.date === night ? about.tonight : nightNamed(yard, night);
  const span = spanOf(lines, night, hours);
  if (!span) return null;
  const from = span.from - BEFORE_MS;
  const to = Math.max(from + 1000, Math.min(span.to + AFTER_MS, about.nowMs - WRITTEN_MS));
  return marksOf(
    lines.filter((l) => l.at >= from && l.at <= to),
    { night, from, to, runs: [], missed: [], faults: [], stops: [], turns: [] },
  );
}

/** Its runs and its opening name a night; its plan only where nothing else does, since that is drawn up hours before. */
function spanOf(
  lines: readonly StoredLine[],
  night: string,
  hours: NightTimes | null,
): { from: number; to: number } | null {
  const named = lines.filter((l) => l.code !== 'run-skipped' && isOf(l, night));
  const inHours = hours && lines.some((l) => l.at >= hours.openMs && l.at <= hours.closeMs) ? hours : null;
  const doings = named.filter((l) => l.code !== 'plan-drawn');
  const ats = (doings.length > 0 || inHours ? doings : named).map((l) => l.at);
  if (inHours) ats.push(inHours.openMs, inHours.closeMs);
  if (ats.length === 0) return null;
  const last = ats.reduce((a, b) => Math.max(a, b));
  const closed = lines.find((l) => l.at > last && isClosed(l));
  return { from: ats.reduce((a, b) => Math.min(a, b)), to: inHours ? last : (closed?.at ?? last) };
}

function marksOf(lines: readonly StoredLine[], course: Course): Course {
  const begun = new Map<string, [number, number]>();
  for (const line of lines) {
    const place = Object.hasOwn(PLACES, line.code) ? PLACES[line.code as keyof typeof PLACES] : null;
    if (place) course[place].push(line.at);
    else if (line.run !== null && line.code === 'run-started') {
      const run: [number, number] = [line.at, course.to];
      begun.set(line.run, run);
      course.runs.push(run);
    } else if (line.run !== null && FATES.has(line.code)) {
      const run = begun.get(line.run);
      if (run) run[1] = Math.max(run[0], line.at);
    }
  }
  for (const place of new Set(Object.values(PLACES))) course[place].sort((a, b) => a - b);
  return course;
}
