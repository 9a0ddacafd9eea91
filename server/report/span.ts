import { nightNamed } from '../calendar/find.ts';
import { instantOf, isDate } from '../calendar/wall.ts';
import type { JournalPort, StoredLine } from '../journal/port.ts';
import type { NightTimes } from '../plan/tonight.ts';
import type { Yard } from '../yard/types.ts';

const AFTER_MS = 3_600_000;
const TWO_DAYS_MS = 2 * 86_400_000;

/** A night and the lines that belong to it: from its preparing until an hour after its close. */
export interface NightSpan {
  readonly openMs: number;
  readonly closeMs: number;
  readonly lines: readonly StoredLine[];
}

/** Null where there is no such night or nothing of it was recorded. `tonight` is the one that the desk knows now. */
export function spanOf(
  journal: JournalPort,
  yard: Yard,
  date: string,
  tonight: NightTimes | null,
): NightSpan | null {
  const night = tonight?.date === date ? tonight : nightNamed(yard, date);
  if (!night) return spanByHand(journal, yard, date);
  const from = Math.min(night.prepareMs, night.openMs - night.noticeMs);
  // a night opened by hand may have been on while this one was prepared: its runs bear its name
  const lines = journal
    .linesBetween(from, night.closeMs + AFTER_MS)
    .filter((l) => l.run === null || l.run.startsWith(`${date}.`));
  return lines.length === 0 ? null : { openMs: night.openMs, closeMs: night.closeMs, lines };
}

/**
 * A night opened by hand is in no file: the lines that name it tell when it was, from its plan or its first run until
 * the yard was closed after its last, or another night is named, or, where neither is, to the end of the record.
 */
function spanByHand(journal: JournalPort, yard: Yard, name: string): NightSpan | null {
  const date = name.slice(0, 10);
  if (!isDate(date)) return null;
  const day = instantOf(yard.timezone, date, 0, 0);
  const lines = journal.linesBetween(day, day + TWO_DAYS_MS);
  const first = lines.findIndex((l) => isOf(l, name));
  if (first < 0) return null;
  const last = lines.findLastIndex((l) => isOf(l, name));
  const over = lines.findIndex((l, i) => i > last && (isClosed(l) || isOfAnother(l)));
  const end = over < 0 ? lines.length - 1 : over;
  return {
    openMs: lines[first]!.at,
    closeMs: lines[end]!.at,
    lines: lines.slice(first, end + 1).filter((l) => l.run === null || isOf(l, name)),
  };
}

/** Whether a line names this night: a run of it, its plan, or its opening. */
export const isOf = (line: StoredLine, night: string): boolean =>
  line.run?.startsWith(`${night}.`) === true || (NAMING.has(line.code) && nightIn(line) === night);

/** Lines that name a night by themselves: its plan, and its opening, which may have nothing planned. */
const NAMING: ReadonlySet<string> = new Set(['plan-drawn', 'mode-now']);

const isOfAnother = (line: StoredLine): boolean => line.run !== null || line.code === 'plan-drawn';
/** Whether the yard was closed then. */
export const isClosed = (line: StoredLine): boolean =>
  line.code === 'mode-now' && (JSON.parse(line.reason) as { mode: string }).mode === 'closed';
const nightIn = (line: StoredLine): string | undefined =>
  (JSON.parse(line.reason) as { night?: string }).night;

/** The name of the last night in which a run began or was missed, else of the last that was planned. */
export function lastNight(journal: JournalPort): string | null {
  const line = journal.lastLineOf(['run-started', 'run-skipped']);
  // a run is named NIGHT.SCENE.NUMBER, and a scene's name may bear points
  if (line?.run && line.scene) return line.run.slice(0, line.run.lastIndexOf(`.${line.scene}.`));
  const drawn = journal.lastLineOf(['plan-drawn']);
  return (drawn && nightIn(drawn)) ?? null;
}
