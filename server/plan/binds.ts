import type { PlanScene } from './problem.ts';
import type { RuleName, Schedule } from './schedule.ts';

/** Moments looked at through the night for each scene that falls short. */
const LOOKS = 240;

/**
 * The rule that keeps a scene short of its aim: looked at all through the night, the one that most often stands alone
 * in the way of one more run; where none ever does, the one that most often stands in the way.
 */
export function bindingRule(schedule: Schedule, scene: PlanScene): RuleName {
  const alone = new Map<string, { name: RuleName; times: number }>();
  const among = new Map<string, { name: RuleName; times: number }>();
  const until = Math.max(0, Math.min(scene.lastMs, schedule.problem.windowMs));
  for (let k = 0; k < LOOKS; k++) {
    const found = schedule.blockers(scene, Math.floor((until * (k + 0.5)) / LOOKS));
    if (found.length === 1) count(alone, found[0]!);
    for (const name of found) count(among, name);
  }
  return most(alone) ?? most(among) ?? scene.spacingRule;
}

function count(times: Map<string, { name: RuleName; times: number }>, name: RuleName): void {
  const key = `${name.rule} ${name.id}`;
  const entry = times.get(key);
  if (entry) entry.times += 1;
  else times.set(key, { name, times: 1 });
}

function most(times: Map<string, { name: RuleName; times: number }>): RuleName | null {
  let best: { name: RuleName; times: number } | null = null;
  for (const entry of times.values()) if (best === null || entry.times > best.times) best = entry;
  return best?.name ?? null;
}
