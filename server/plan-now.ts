import type { RunFate } from './picture.ts';
import type { PlanRun, TonightPlan } from './plan/tonight.ts';
import type { Reason } from './show/reasons.ts';
import type { PlannedRun, Show } from './show/show.ts';

/** Tonight's plan with what became of each run, as `GET /api/plan` gives it. */
export function plannedNow(plan: TonightPlan, show: Show, say: (reason: Reason) => string): TonightPlan {
  if (show.night?.date !== plan.night)
    return { ...plan, runs: plan.runs.map((r) => ({ ...r, ...UNTOUCHED })) };
  const openMs = show.night.openMs;
  const shapes = new Map(plan.runs.map((r) => [r.scene, r]));
  const runs = show.planned.flatMap((p) => {
    const shape = shapes.get(p.scene);
    return shape ? [{ ...moved(shape, p, openMs), ...fateOf(p, say) }] : [];
  });
  return { ...plan, runs };
}

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
