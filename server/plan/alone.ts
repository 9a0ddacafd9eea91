import type { Limits } from './bound.ts';
import type { PlanScene, Problem } from './problem.ts';
import { Schedule } from './schedule.ts';

/**
 * The limits with each scene's `most` brought down to the whole runs that it could have if it were alone in the yard:
 * sums see a duty as a share of the night, not that a window holds whole runs. Each run as early as may be is the
 * best for one scene alone, since an earlier run leaves every later window sooner.
 */
export function wholeLimits(problem: Problem, limits: Limits): Limits {
  const most = problem.scenes.map((s) => {
    const whole = Math.floor(limits.most[s.index]! + 1e-6);
    return s.duties.length > 0 && whole > 0 ? Math.min(whole, runsAlone(problem, s, whole)) : whole;
  });
  return { rows: limits.rows, most };
}

function runsAlone(problem: Problem, scene: PlanScene, most: number): number {
  // Air is no part of it: a run may well be better for coming later, when the compressor has just started. Nor are needs:
  // what another scene's move leaves at its end, no scene alone finds there.
  const schedule = new Schedule(problem);
  const alone = { ...scene, draws: [], stands: [] };
  let runs = 0;
  for (let t = 0; runs < most; runs++) {
    t = schedule.earliest(alone, t, scene.lastMs);
    if (t === Infinity) break;
    schedule.add(alone, t);
  }
  return runs;
}
