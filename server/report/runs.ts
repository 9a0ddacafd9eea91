import type { StoredLine } from '../journal/port.ts';
import type { Reason, RunEnd } from '../show/reasons.ts';
import type { Yard } from '../yard/types.ts';

export type Fate = 'made' | 'failed' | 'abandoned' | 'stopped' | 'skipped';

/** The line with which a run ends, and what it is counted as. A board's refusal ends its run as given up. */
export const FATES: ReadonlyMap<string, Fate> = new Map<RunEnd['code'] | 'run-skipped', Fate>([
  ['run-done', 'made'],
  ['run-failed', 'failed'],
  ['run-abandoned', 'abandoned'],
  ['board-refused', 'abandoned'],
  ['run-stopped', 'stopped'],
  ['run-skipped', 'skipped'],
]);

/** One cause of several runs missed or triggers refused, whatever its figures. */
export interface Cause {
  code: string;
  count: number;
  /** The first of them, as the record says it. */
  first: string;
}

export interface SceneReport extends Record<Fate, number> {
  title: string;
  missedBy: (Cause & { fate: Fate })[];
}

export interface MissedRun {
  at: number;
  scene: string;
  fate: Fate;
  text: string;
}

export interface Refused {
  prop: string;
  title: string;
  sensor: string;
  scene: string;
  count: number;
  by: Cause[];
}

const reasonOf = (line: StoredLine): Reason => JSON.parse(line.reason) as Reason;

/** What a line names as its cause: of a skipped or abandoned run what stood against it, else itself. */
function causeOf(line: StoredLine): Reason {
  const reason = reasonOf(line);
  return 'for' in reason && !Array.isArray(reason.for) ? (reason.for as Reason) : reason;
}

/** Causes that differ only in figures are one. */
function keyOf(cause: Reason): string {
  return JSON.stringify(cause, (key, value) =>
    typeof value === 'number' || key === 'journeys' ? undefined : value,
  );
}

/** Lines gathered by cause, the most frequent first. */
function causesOf(lines: readonly StoredLine[]): Cause[] {
  const found = new Map<string, Cause>();
  for (const line of lines) {
    const cause = causeOf(line);
    const key = keyOf(cause);
    const known = found.get(key);
    if (known) known.count += 1;
    else found.set(key, { code: cause.code, count: 1, first: line.text });
  }
  return [...found.values()].sort((a, b) => b.count - a.count);
}

/** Every scene of the yard, and those of the record that the file no longer has. */
export function scenesOf(yard: Yard, lines: readonly StoredLine[]): Record<string, SceneReport> {
  const ended = lines.filter((l) => l.scene !== null && FATES.has(l.code));
  const ids = new Set([...yard.scenes.keys(), ...ended.map((l) => l.scene!)]);
  return Object.fromEntries(
    [...ids].map((id) => [
      id,
      sceneOf(
        yard.scenes.get(id)?.title ?? id,
        ended.filter((l) => l.scene === id),
      ),
    ]),
  );
}

function sceneOf(title: string, ended: readonly StoredLine[]): SceneReport {
  const of = (fate: Fate): StoredLine[] => ended.filter((l) => FATES.get(l.code) === fate);
  const missed = (['skipped', 'failed', 'abandoned', 'stopped'] as const).flatMap((fate) =>
    causesOf(of(fate)).map((cause) => ({ ...cause, fate })),
  );
  return {
    title,
    made: of('made').length,
    failed: of('failed').length,
    abandoned: of('abandoned').length,
    stopped: of('stopped').length,
    skipped: of('skipped').length,
    missedBy: missed.sort((a, b) => b.count - a.count),
  };
}

export function missedOf(lines: readonly StoredLine[]): MissedRun[] {
  return lines.flatMap((l) => {
    const fate = FATES.get(l.code);
    if (l.scene === null || fate === undefined || fate === 'made') return [];
    return [{ at: l.at, scene: l.scene, fate, text: l.text }];
  });
}

/** Triggers that set nothing off, by sensor and scene, with why. */
export function refusedOf(yard: Yard, lines: readonly StoredLine[]): Refused[] {
  const by = new Map<string, StoredLine[]>();
  for (const line of lines.filter((l) => l.code === 'trigger-refused')) {
    const key = JSON.stringify([line.prop, sensorOf(line), line.scene]);
    by.set(key, [...(by.get(key) ?? []), line]);
  }
  return [...by.values()].map((group) => {
    const { prop, scene } = group[0]!;
    return {
      prop: prop ?? '',
      title: yard.props.get(prop ?? '')?.title ?? prop ?? '',
      sensor: sensorOf(group[0]!),
      scene: scene ?? '',
      count: group.length,
      by: causesOf(group),
    };
  });
}

const sensorOf = (line: StoredLine): string => (reasonOf(line) as { sensor?: string }).sensor ?? '';
