import { partsOf } from './parts.ts';
import { fill } from './place.ts';
import type { PlanScene, Problem } from './problem.ts';
import { type RuleName, type Schedule, scheduleOf } from './schedule.ts';
import { longestAllowedMs, longestGap, longestGapMs } from './score.ts';

/** Moments looked at through the night for each scene that falls short. */
const LOOKS = 120;
/** Runs that are tried for with a rule left out, at most. */
const TRIES = 10;

/**
 * For each scene short of its aim, by id, the rule that binds it. Where runs are lacking: of all that stand in the way
 * of one more run at some moment of the night, the one without which most more would fit into the plan as it is; where
 * none is enough by itself, the one that most often stands in the way. Where all runs are there and yet some gap is too
 * long: what stands in the way in the longest.
 */
export function bindingRules(
  problem: Problem,
  starts: readonly (readonly number[])[],
): Map<string, RuleName> {
  const found = new Map<string, RuleName>();
  for (const { problem: part, whole } of partsOf(problem)) {
    const own = whole.map((index) => starts[index]!);
    const short = part.scenes.filter((s) => own[s.index]!.length < s.wanted);
    const uneven = part.scenes.filter((s) => !short.includes(s) && gapTooLong(s, own[s.index]!));
    if (short.length + uneven.length === 0) continue;
    const plan = scheduleOf(part, own);
    for (const scene of uneven) found.set(scene.id, inTheGap(plan, scene));
    for (const scene of short) {
      const until = Math.max(0, Math.min(scene.lastByCloseMs, part.windowMs));
      const { alone, among } = blockersBetween(plan, scene, 0, until);
      let most = 0;
      for (const rule of [...alone, ...among]) {
        plan.leaveOut(rule);
        const more = moreRuns(plan, scene, rule);
        plan.leaveOut(rule, false);
        if (more <= most) continue;
        most = more;
        found.set(scene.id, rule);
      }
      // Its own runs stand in its way wherever it has any: that binds only where nothing else does.
      const others = [...alone, ...among].filter((r) => nameOf(r) !== nameOf(scene.spacingRule));
      if (most === 0) found.set(scene.id, others[0] ?? scene.spacingRule);
    }
  }
  return found;
}

/** A millisecond more than allowed is no more than rounding. */
function gapTooLong(scene: PlanScene, starts: readonly number[]): boolean {
  return scene.wanted > 0 && longestGapMs(scene, starts) > longestAllowedMs(scene) + 1;
}

/** What keeps the scene from a start in the part of its longest gap where one would end it in time. */
function inTheGap(schedule: Schedule, scene: PlanScene): RuleName {
  const { from, to } = longestGap(scene, schedule.starts[scene.index]!);
  const limit = longestAllowedMs(scene);
  const [first, last] = [Math.max(from, to - limit), Math.min(to, from + limit)];
  const { alone, among } = blockersBetween(schedule, scene, first, last);
  return alone[0] ?? among[0] ?? scene.spacingRule;
}

/** How many runs of the scene fit with the rule left out; the schedule is left as it was. */
function moreRuns(relaxed: Schedule, scene: PlanScene, rule: RuleName): number {
  const free = rule.rule === 'quiet' ? { ...scene, lastMs: scene.lastByCloseMs } : scene;
  const lacking = scene.wanted - relaxed.starts[scene.index]!.length;
  const added = fill(relaxed, free, Math.min(TRIES, lacking));
  // What was added last can always be taken back.
  for (const t of [...added].reverse()) relaxed.remove(scene, t);
  return added.length;
}

/**
 * The rules in the way of the scene at moments spread over a stretch, most frequent first: alone, and at all. Quiet
 * comes last, since what a scene wants is already counted within it.
 */
function blockersBetween(
  schedule: Schedule,
  scene: PlanScene,
  first: number,
  last: number,
): { alone: RuleName[]; among: RuleName[] } {
  const alone = new Tally();
  const among = new Tally();
  for (let k = 0; k < LOOKS; k++) {
    const rules = schedule.blockers(scene, Math.floor(first + ((last - first) * (k + 0.5)) / LOOKS));
    if (rules.length === 1) alone.count(rules[0]!);
    for (const rule of rules) among.count(rule);
  }
  return { alone: alone.ranked(), among: among.ranked() };
}

class Tally {
  private readonly times = new Map<string, { rule: RuleName; times: number }>();

  count(rule: RuleName): void {
    const entry = this.times.get(nameOf(rule));
    if (entry) entry.times += 1;
    else this.times.set(nameOf(rule), { rule, times: 1 });
  }

  ranked(): RuleName[] {
    const last = (r: RuleName) => (r.rule === 'quiet' ? 1 : 0);
    return [...this.times.values()]
      .sort((a, b) => last(a.rule) - last(b.rule) || b.times - a.times)
      .map((entry) => entry.rule);
  }
}

function nameOf(rule: RuleName): string {
  return `${rule.rule} ${rule.id}`;
}
