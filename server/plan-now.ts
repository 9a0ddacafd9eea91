import { rfc3339 } from './calendar/local-time.ts';
import type { RunFate, UnplannedRun } from './picture.ts';
import { lowestPsi, peaksOf, workingPsi } from './plan/report.ts';
import type { NightTimes, PlanRun, TonightPlan } from './plan/tonight.ts';
import type { Reason } from './show/reasons.ts';
import type { PlannedRun, Show } from './show/show.ts';
import type { Yard } from './yard/types.ts';

/** What `GET /api/plan` gives: the plan, and what ran tonight besides. */
export interface PlanNow extends TonightPlan {
  unplanned: UnplannedRun[];
}

/** Tonight's plan with what became of each run. */
export function plannedNow(plan: TonightPlan, show: Show, say: (reason: Reason) => string): TonightPlan {
  // a night that is over is none any more, and its runs stand until the next is taken
  const on = show.night?.date === plan.night;
  if (!on && !show.planned.some((p) => p.id.startsWith(`${plan.night}.`)))
    return { ...plan, runs: plan.runs.map((r) => ({ ...r, ...UNTOUCHED })) };
  const openMs = openMsOf(plan, show);
  const shapes = new Map(plan.runs.map((r) => [r.scene, r]));
  const runs = show.planned.flatMap((p) => {
    const shape = shapes.get(p.scene);
    return shape ? [{ ...moved(shape, p, openMs), ...fateOf(p, say) }] : [];
  });
  return { ...plan, runs };
}

/** When its night opens: as the core holds it while it is on, else as it was drawn up. */
export const openMsOf = (plan: TonightPlan, show: Show): number =>
  show.night?.date === plan.night ? show.night.openMs : Date.parse(plan.open);

const UNTOUCHED: RunFate = { state: 'planned', actualStart: null, actualEnd: null, why: null };

/** All runs of a scene have one shape; a mended or renumbered run is that shape elsewhere. */
function moved(shape: PlanRun, p: PlannedRun, openMs: number): PlanRun {
  const start = seconds(p.startMs - openMs);
  const at = (s: number): number => seconds((s - shape.start) * 1000 + (p.startMs - openMs));
  return {
    id: p.id,
    scene: p.scene,
    start,
    end: at(shape.end),
    steps: shape.steps.map((s) => ({ ...s, start: at(s.start), end: at(s.end) })),
  };
}

function fateOf(p: PlannedRun, say: (reason: Reason) => string): RunFate {
  return {
    state: p.state,
    actualStart: p.actualStartMs,
    actualEnd: p.actualEndMs,
    why: p.why && p.state !== 'done' ? say(p.why) : null,
  };
}

const seconds = (ms: number): number => Math.round(ms) / 1000;

/**
 * The plan of a night that was opened with nothing planned, or whose plan could not be drawn up: nothing is wanted and
 * nothing lacking, and what runs in it is all unplanned.
 */
export function nothingPlanned(yard: Yard, night: NightTimes): TonightPlan {
  const tanks: TonightPlan['tanks'] = Object.create(null);
  for (const tank of yard.tanks.values())
    tanks[tank.id] = { lowestPsi: lowestPsi(yard, tank, []), workingPsi: workingPsi(tank) };
  return {
    night: night.date,
    yard: yard.id,
    open: rfc3339(yard, night.openMs),
    close: rfc3339(yard, night.closeMs),
    quiet: night.quietMs === null ? null : rfc3339(yard, night.quietMs),
    runs: [],
    scenes: {},
    circuits: peaksOf(yard, []),
    tanks,
    expects: {},
    level: 1,
    worth: 1,
    bound: { level: 1, worth: 1 },
  };
}
