import type { UnplannedRun } from '../server/picture.ts';
import type { FatedPlan } from './store.ts';

/** A run that starts so much off its plan says when. */
const LATE_MS = 2000;

export type NightLine =
  | { kind: 'edge'; edge: 'open' | 'quiet' | 'close' | 'now'; key: string; at: number }
  | {
      kind: 'run';
      run: FatedPlan['runs'][number] | UnplannedRun;
      key: string;
      at: number;
      /** Went as planned and is past: folded. */
      over: boolean;
      /** When it started, where that was not when planned. */
      startedLate: number | null;
      /** Whether there is anything to say besides. */
      more: boolean;
    };

/**
 * The night in order of time: its edges, now, every run at its planned start, and those on no plan when they began. Plan
 * times count in s from open.
 */
export function nightLines(plan: FatedPlan, nowMs: number): NightLine[] {
  const openMs = Date.parse(plan.open);
  const edge = (name: 'open' | 'quiet' | 'close' | 'now', at: number): NightLine => ({
    kind: 'edge',
    edge: name,
    key: name,
    at,
  });
  const lines = plan.runs.map((run): NightLine => {
    const at = openMs + run.start * 1000;
    const late = run.actualStart !== null && Math.abs(run.actualStart - at) > LATE_MS;
    const startedLate = late ? run.actualStart : null;
    const more = startedLate !== null || run.why !== null;
    return {
      kind: 'run',
      run,
      key: run.id,
      at,
      over: run.state === 'done' && run.why === null,
      startedLate,
      more,
    };
  });
  const besides = plan.unplanned.map(
    (run): NightLine => ({
      kind: 'run',
      run,
      key: run.id,
      at: run.actualStart,
      over: run.state === 'done',
      startedLate: null,
      more: run.why !== null,
    }),
  );
  const edges = [edge('open', openMs), edge('close', Date.parse(plan.close)), edge('now', nowMs)];
  if (plan.quiet !== null) edges.push(edge('quiet', Date.parse(plan.quiet)));
  // Edges first where times are equal, since sort is stable.
  return [...edges, ...lines, ...besides].sort((a, b) => a.at - b.at);
}
