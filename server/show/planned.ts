import type { Event, PlannedStart } from './events.ts';
import type { Reason } from './reasons.ts';
import { setPlanned } from './run-end.ts';
import { usedIn, withUsed } from './run-names.ts';
import { startAgainst, startRun } from './scene.ts';
import { axisOf, type PlannedRun, type Show, wallOf } from './show.ts';
import type { Turn } from './turn.ts';
import { sumUpNight } from './wear.ts';

/*
 * Tonight's plan as the core holds it: the starts and what became of each. A planned run waits until its time; then it
 * starts as soon as nothing stands against it, or is skipped with why once it is too late. It never runs late.
 *
 *   planned ── its time, nothing against it ──► running ──► done, failed, abandoned, stopped
 *      └── too late, not in a mended plan, the night over ──► skipped
 */

export function takeNight(turn: Turn, night: NonNullable<Show['night']>, runs: readonly PlannedRun[]): void {
  const { show } = turn;
  if (show.night?.date !== night.date) {
    sumUpNight(turn);
    show.unplanned = false;
  }
  show.night = night;
  show.planned = runs;
  show.plannedFrom = 0;
}

/** A plan drawn up: taken at once, or kept behind a night that is still on. */
export function nightDrawn(turn: Turn, e: Extract<Event, { kind: 'nightDrawn' }>): void {
  const { show } = turn;
  const sameNight = show.night?.date === e.night.date;
  const kept = sameNight ? show.planned.filter((r) => r.state !== 'planned') : [];
  // drawn up again for a night that has begun: what is over was made or skipped already
  const drawn = kept.length > 0 ? e.runs.filter((r) => r.startMs > wallOf(show, turn.at)) : e.runs;
  const runs = sameNight && show.unplanned ? [] : named(turn, e.night.date, drawn);
  turn.record({ code: 'plan-drawn', night: e.night.date, runs: drawn.length });
  if (show.night && !sameNight && show.mode !== 'closed' && wallOf(show, turn.at) < show.night.closeMs) {
    show.nextNight = { night: e.night, planned: inOrder(runs) };
    return;
  }
  takeNight(turn, e.night, inOrder([...kept, ...runs]));
}

/** A run's name is never used twice: a plan drawn up again for the same night numbers on from the first. */
function named(turn: Turn, night: string, runs: readonly PlannedStart[]): PlannedRun[] {
  const offsets = new Map<string, number>();
  const highest = new Map<string, number>();
  const out: PlannedRun[] = [];
  for (const r of runs) {
    if (!offsets.has(r.scene)) offsets.set(r.scene, usedIn(turn.show.scenes[r.scene]!.used, night));
    const number = Number(r.id.slice(r.id.lastIndexOf('.') + 1)) + offsets.get(r.scene)!;
    highest.set(r.scene, Math.max(highest.get(r.scene) ?? 0, number));
    out.push(planned(`${night}.${r.scene}.${number}`, r));
  }
  const date = night.slice(0, 10);
  for (const [scene, n] of highest) {
    turn.setScene(scene, { used: withUsed(turn.show.scenes[scene]!.used, night, n, date) });
  }
  return out;
}

const planned = (id: string, r: PlannedStart): PlannedRun => ({
  id,
  scene: r.scene,
  startMs: r.startMs,
  drawnMs: r.startMs,
  state: 'planned',
  actualStartMs: null,
  actualEndMs: null,
  why: null,
});

/** In order of start; where two are equal, in the order of the plan. */
const inOrder = (runs: PlannedRun[]): PlannedRun[] => runs.sort((a, b) => a.startMs - b.startMs);

/** The mended rest of the plan: runs that are not in it any more are marked skipped, with why. */
export function planMended(turn: Turn, e: Extract<Event, { kind: 'planMended' }>): void {
  const { show } = turn;
  if (show.night?.date !== e.night) return;
  const starts = new Map(e.runs.map((r) => [r.id, r.startMs]));
  let changed = 0;
  const runs = show.planned.map((r): PlannedRun => {
    if (r.state !== 'planned') return r;
    const startMs = starts.get(r.id);
    if (startMs === r.startMs) return r;
    changed += 1;
    if (startMs !== undefined) return { ...r, startMs };
    return skipped(turn, r, { code: 'mended-away' });
  });
  if (changed === 0) return;
  show.planned = inOrder(runs);
  show.plannedFrom = 0;
  turn.record({ code: 'plan-mended', runs: changed });
}

function skipped(turn: Turn, r: PlannedRun, why: Reason): PlannedRun {
  turn.setScene(r.scene, { skipped: turn.show.scenes[r.scene]!.skipped + 1 });
  turn.record(
    { code: 'run-skipped', plannedMs: axisOf(turn.show, r.startMs), for: why },
    { scene: r.scene, run: r.id },
  );
  return { ...r, state: 'skipped', why };
}

export function dropPlanned(turn: Turn, why: Reason): void {
  turn.show.planned = turn.show.planned.map((r) => (r.state === 'planned' ? skipped(turn, r, why) : r));
}

/** How late a planned run may start: half its `every`, at least 10 s. */
export const lateAllowedMs = (show: Show, scene: string): number =>
  Math.max(10_000, (show.yard.scenes.get(scene)!.everyMs ?? 0) / 2);

/** Starts what is due and can start; marks skipped what is too late, with what stands against it or how late it is. */
export function startPlanned(turn: Turn): void {
  const { show, at } = turn;
  const wall = wallOf(show, at);
  let from = show.plannedFrom;
  for (let i = from; i < turn.show.planned.length; i++) {
    const r = turn.show.planned[i]!;
    if (r.startMs > wall) break;
    if (r.state === 'planned') {
      const scene = turn.yard.scenes.get(r.scene)!;
      const lateMs = wall - r.drawnMs;
      const allowedMs = lateAllowedMs(show, r.scene);
      const reason = startAgainst(turn, scene, 'plan') ?? tooLate(turn, r, lateMs, allowedMs);
      if (!reason) startRun(turn, scene, 'plan', r.id);
      else if (lateMs >= allowedMs) setPlanned(turn, r.id, skipped(turn, r, reason));
    }
    if (i === from && turn.show.planned[i]!.state !== 'planned') from += 1;
  }
  turn.show.plannedFrom = from;
}

/** Nothing stands against it now, and yet it may not run: the clock was set, or the computer slept. */
const tooLate = (turn: Turn, r: PlannedRun, lateMs: number, allowedMs: number): Reason | null =>
  lateMs > allowedMs ? { code: 'too-late', plannedMs: axisOf(turn.show, r.startMs), lateMs } : null;

/** When a planned run wants looking at: its start, or a moment on while something stands against one that is due. */
export function plannedDue(show: Show, retryMs: number): number {
  const next = show.planned[show.plannedFrom];
  if (!next) return Number.POSITIVE_INFINITY;
  const at = axisOf(show, next.startMs);
  if (at > show.at) return at;
  return show.at + retryMs;
}
