import { nightNamed } from './calendar/find.ts';
import type { JournalPort, StoredLine } from './journal/port.ts';
import type { NightTimes } from './plan/tonight.ts';
import type { Yard } from './yard/types.ts';

export interface NightReport {
  night: string;
  open: number;
  close: number;
  scenes: Record<
    string,
    { title: string; made: number; failed: number; abandoned: number; skipped: number; stopped: number }
  >;
  missed: { at: number; scene: string | null; text: string }[];
  faults: { at: number; prop: string | null; text: string; releasedAt: number | null }[];
  stops: { at: number; text: string; clearedAt: number | null }[];
}

const BEFORE_MS = 2 * 3_600_000;
const AFTER_MS = 3_600_000;

/** What happened in a night, from the record's lines; null where there is no such night or nothing was recorded. */
export function nightReport(
  journal: JournalPort,
  yard: Yard,
  date: string,
  now: NightTimes | null,
): NightReport | null {
  const night = now?.date === date ? now : (nightNamed(yard, date) ?? handNightIn(journal, date));
  if (!night) return null;
  const lines = journal.linesBetween(night.openMs - BEFORE_MS, night.closeMs + AFTER_MS);
  if (lines.length === 0) return null;
  return {
    night: date,
    open: night.openMs,
    close: night.closeMs,
    scenes: scenesOf(yard, lines),
    missed: lines
      .filter((l) => l.code === 'run-skipped' || l.code === 'run-failed' || l.code === 'run-abandoned')
      .map(({ at, scene, text }) => ({ at, scene, text })),
    faults: lines
      .filter((l) => l.code === 'lockout-raised')
      .map((l) => ({
        at: l.at,
        prop: l.prop,
        text: l.text,
        releasedAt: later(lines, l, 'lockout-released', l.prop),
      })),
    stops: lines
      .filter((l) => l.code === 'stop-pressed')
      .map((l) => ({ at: l.at, text: l.text, clearedAt: later(lines, l, 'stop-cleared', null) })),
  };
}

/** A night opened by hand is in no file: the record tells when its plan was drawn, and the next one's when it was over. */
function handNightIn(journal: JournalPort, date: string): { openMs: number; closeMs: number } | null {
  let found: { openMs: number; closeMs: number } | null = null;
  for (let after = 0; ; ) {
    const lines = journal.lines(after, 1000);
    for (const l of lines) {
      if (l.code === 'plan-drawn' && (JSON.parse(l.reason) as { night: string }).night === date)
        found ??= { openMs: l.at, closeMs: l.at };
      else if (l.code === 'plan-drawn' && found) return found;
      if (found) found.closeMs = l.at;
    }
    const last = lines.at(-1);
    if (!last) return found;
    after = last.id;
  }
}

function later(
  lines: readonly StoredLine[],
  from: StoredLine,
  code: string,
  prop: string | null,
): number | null {
  return lines.find((l) => l.id > from.id && l.code === code && l.prop === prop)?.at ?? null;
}

function scenesOf(yard: Yard, lines: readonly StoredLine[]): NightReport['scenes'] {
  const fates: Record<string, 'made' | 'failed' | 'abandoned' | 'skipped' | 'stopped'> = {
    'run-done': 'made',
    'run-failed': 'failed',
    'run-abandoned': 'abandoned',
    'run-skipped': 'skipped',
    'run-stopped': 'stopped',
  };
  const out: NightReport['scenes'] = {};
  for (const scene of yard.scenes.values())
    out[scene.id] = { title: scene.title, made: 0, failed: 0, abandoned: 0, skipped: 0, stopped: 0 };
  for (const l of lines) {
    const fate = Object.hasOwn(fates, l.code) ? fates[l.code] : undefined;
    const scene = l.scene !== null && Object.hasOwn(out, l.scene) ? out[l.scene] : undefined;
    if (fate && scene) scene[fate] += 1;
  }
  return out;
}
