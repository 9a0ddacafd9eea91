import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { problemOf } from '../../server/plan/problem.ts';
import { evenPlanExists } from './exact.ts';
import { caseOf, type Recipe, SMALL } from './yards.ts';

const MINUTE = 60_000;
/** Yards in which most or all of what is wanted fits, and how many of twelve seeds HiGHS finds an even plan for. */
const KINDS: [name: string, more: Partial<Recipe>, even: number][] = [
  ['circuit', { circuit: 0.9 }, 3],
  ['zone', { zone: 0.8 }, 3],
  ['circuit and zone, varied', { circuit: 0.7, zone: 0.7, vary: 0.25 }, 3],
  ['surge', { surge: 1.2, circuit: 0.7 }, 3],
  ['prop', { prop: 1, everyMs: [5 * MINUTE, 8 * MINUTE] }, 3],
  ['carriages', { carriages: 1, circuit: 0.6, lengthMs: [3 * MINUTE, 4 * MINUTE] }, 3],
  ['quiet', { loud: 0.5, quiet: 0.6, circuit: 0.9 }, 3],
  ['five scenes', { scenes: 5, circuit: 0.7, zone: 0.6, vary: 0.2 }, 3],
];

/** HiGHS (highs.dev, MIT), given the longest gap allowed as one more rule, says whether it can be kept at all. */
test.each(KINDS)(
  'where HiGHS finds a plan with no gap over every × (1 + vary), %s, so does the planner',
  async (name, more, least) => {
    let even = 0;
    for (let seed = 1; seed <= 12; seed++) {
      const { yard, night } = caseOf(name, { ...SMALL, hours: 0.75, ...more, seed });
      if (!(await evenPlanExists(problemOf(yard, night), MINUTE))) continue;
      even += 1;
      for (const [id, s] of Object.entries(planTonight(yard, night).scenes)) {
        const { everyMs, vary } = yard.scenes.get(id)!;
        expect(s.planned, `${name} ${seed} ${id}`).toBeGreaterThanOrEqual(s.wanted);
        expect(s.longestGap * 1000, `${name} ${seed} ${id}`).toBeLessThanOrEqual(everyMs! * (1 + vary) + 1);
      }
    }
    expect(even).toBeGreaterThanOrEqual(least);
  },
  120_000,
);
