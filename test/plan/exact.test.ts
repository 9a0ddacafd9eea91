import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { problemOf } from '../../server/plan/problem.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { exactBest } from './exact.ts';
import { type Case, caseOf, type Recipe, SMALL } from './yards.ts';

const MINUTE = 60_000;

/** Small yards tight on each rule alone and on several, with seeds for which HiGHS proves its optimum in seconds. */
const YARDS: [string, Partial<Recipe>, number[]][] = [
  ['circuit', { circuit: 1.1 }, [1, 3, 8, 10]],
  ['circuit twice over', { circuit: 2, weights: [1, 2, 0.5] }, [1, 2, 8, 10]],
  ['surge', { surge: 1.5, circuit: 0.9 }, [8, 9, 10]],
  ['zone', { zone: 1 }, [5, 6, 9, 10]],
  ['zone twice over', { zone: 1.8, weights: [1, 3] }, [1, 2, 3, 8]],
  ['prop', { prop: 1, everyMs: [3 * MINUTE, 5 * MINUTE] }, [3, 6, 9]],
  ['duty', { duty: 1.4 }, [1, 3, 5, 6]],
  ['air', { tank: 1.3 }, [1, 2, 8]],
  ['quiet', { loud: 0.5, quiet: 0.6, circuit: 1.2 }, [3, 8, 10]],
  ['carriages', { carriages: 1, circuit: 1.2, zone: 1, lengthMs: [3 * MINUTE, 4 * MINUTE] }, [1, 2, 4, 6]],
  [
    'several',
    { circuit: 1.1, zone: 1.1, duty: 1.1, loud: 0.3, quiet: 0.7, weights: [1, 2] },
    [1, 3, 6, 7, 9, 11],
  ],
  ['five scenes', { scenes: 5, circuit: 1.2, prop: 1, surge: 1.2 }, [1, 2, 6, 9]],
];

/** The general solver knows no hysteresis: its compressor runs whenever the tank is not full. */
function withoutHysteresis(c: Case): Case {
  const tanks = new Map([...c.yard.tanks].map(([id, t]) => [id, { ...t, cutInKpa: t.cutOutKpa }]));
  return { ...c, yard: { ...c.yard, tanks } };
}

test.each(YARDS)(
  'small yards short of %s get the best level and worth that HiGHS proves',
  async (name, more, seeds) => {
    let short = 0;
    for (const seed of seeds) {
      const { yard, night } = withoutHysteresis(caseOf(name, { ...SMALL, ...more, seed }));
      const plan = planTonight(yard, night);
      expect(verifyPlan(yard, night, plan)).toEqual([]);
      const best = await exactBest(problemOf(yard, night), MINUTE);
      expect(best, `${name} ${seed} was not solved`).not.toBeNull();
      expect(plan.level, `level of ${name} ${seed}`).toBeCloseTo(best!.level, 9);
      expect(plan.worth, `worth of ${name} ${seed}`).toBeCloseTo(best!.worth, 9);
      expect(plan.bound.level).toBeGreaterThan(best!.level - 1e-6);
      expect(plan.bound.worth).toBeGreaterThan(best!.worth - 1e-6);
      if (best!.worth < 1) short += 1;
    }
    // Were all of them loose, nothing would have been shown.
    expect(short).toBeGreaterThan(seeds.length / 2);
  },
  120_000,
);
