import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { caseOf } from './yards.ts';

test('a loose yard gets all it wants and breaks no rule', () => {
  const { yard, night } = caseOf('loose', {
    seed: 3,
    scenes: 12,
    hours: 5,
    everyMs: [240_000, 600_000],
    lengthMs: [20_000, 90_000],
    gridMs: 1000,
  });
  const plan = planTonight(yard, night);
  expect(verifyPlan(yard, night, plan)).toEqual([]);
  expect([plan.level, plan.worth]).toEqual([1, 1]);
  expect(JSON.stringify(planTonight(yard, night))).toBe(JSON.stringify(plan));
});
