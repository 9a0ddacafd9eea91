import fc from 'fast-check';
import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { wildCase } from './wild.ts';

test('whatever the yard, the plan breaks no rule and says the truth about itself', () => {
  fc.assert(
    fc.property(wildCase, ({ yard, night }) => {
      const plan = planTonight(yard, night, { steps: 20_000 });
      expect(verifyPlan(yard, night, plan)).toEqual([]);
    }),
    { numRuns: 1500, seed: 20261031 },
  );
}, 120_000);
