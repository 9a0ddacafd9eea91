import { describe, expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { problemOf } from '../../server/plan/problem.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { ceilingOf } from './ceiling.ts';
import { KEPT } from './yards.ts';

/** What is aimed at: so much of the bound, by level and by worth, unless it is proved that no plan has both. */
const AIM = { level: 0.95, worth: 0.97 };

/**
 * Yards in which the aim is neither reached nor proved out of reach, and what is reached, rounded down. In the first one
 * motor's surge takes up to four fifths of the breaker, so that all else must pause at each of its starts, which neither
 * the bound nor the ceiling sees. In the other the ceiling is near, and the bound is not.
 */
const OPEN: Record<string, [level: number, worth: number]> = {
  'tight on its circuit’s surges (1)': [0.92, 0.955],
  'large (2)': [0.93, 0.92],
};

/** Of what HiGHS proves to be the most, so much is reached, or what the list says. */
const NEAR = { level: 0.95, worth: 0.94 };
const FURTHER: Record<string, [level: number, worth: number]> = {
  'tight on its circuit’s surges (1)': [0.92, 0.955],
  'tight on several (1)': [0.87, 0.88],
  'tight on several (2)': [0.84, 0.83],
  'twice too much for its circuit (1)': [0.95, 0.92],
  'twice too much for its circuit (2)': [0.95, 0.92],
};

describe('the kept yards', () => {
  test('are thirty and more, under names of their own', () => {
    expect(KEPT.length).toBeGreaterThanOrEqual(30);
    expect(new Set(KEPT.map((c) => c.name)).size).toBe(KEPT.length);
  });

  test.each(KEPT)(
    '$name: every rule kept, the same bytes twice, as near the best as can be told',
    async ({ name, yard, night }) => {
      const plan = planTonight(yard, night);
      expect(verifyPlan(yard, night, plan)).toEqual([]);
      expect(JSON.stringify(planTonight(yard, night))).toBe(JSON.stringify(plan));
      const { level, worth, bound } = plan;
      const ceiling = await ceilingOf(problemOf(yard, night));
      expect(bound.level, 'the bound is no less than the ceiling').toBeGreaterThan(ceiling.level - 1e-6);
      expect(ceiling.level).toBeGreaterThan(level - 1e-9);
      expect(ceiling.worthAt(level)).toBeGreaterThan(worth - 1e-9);

      const aimed = AIM.level * bound.level;
      const reached = level >= aimed && worth >= AIM.worth * bound.worth;
      const beyond = ceiling.level < aimed || ceiling.worthAt(aimed) < AIM.worth * bound.worth;
      const open = OPEN[name];
      expect(reached || beyond, 'reached, or proved out of reach').toBe(open === undefined);
      if (open) {
        expect(level / bound.level).toBeGreaterThanOrEqual(open[0]);
        expect(worth / bound.worth).toBeGreaterThanOrEqual(open[1]);
      }
      const near = FURTHER[name] ?? [NEAR.level, NEAR.worth];
      expect(level / ceiling.level).toBeGreaterThanOrEqual(near[0]);
      expect(worth / ceiling.worthAt(level)).toBeGreaterThanOrEqual(near[1]);

      for (const [id, s] of Object.entries(plan.scenes)) {
        if (name.startsWith('loose')) {
          const { everyMs, vary } = yard.scenes.get(id)!;
          expect(s.planned, id).toBe(s.wanted);
          expect(s.longestGap * 1000, id).toBeLessThanOrEqual(everyMs! * (1 + vary) + 1);
        }
      }
    },
    60_000,
  );
});
