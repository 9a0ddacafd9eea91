import { describe, expect, test } from 'vitest';
import { wholeLimits } from '../../server/plan/alone.ts';
import { limitsOf } from '../../server/plan/bound.ts';
import { explainPlan } from '../../server/plan/explain.ts';
import { planTonight } from '../../server/plan/plan.ts';
import { problemOf } from '../../server/plan/problem.ts';
import type { TonightPlan } from '../../server/plan/tonight.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import type { Yard } from '../../server/yard/types.ts';
import { circuitOf, load, moveOf, need, nightOf, propOf, sceneOf, tankOf, yardOf } from './yards.ts';

const MINUTE = 60_000;

function planned(yard: Yard, minutes: number): TonightPlan {
  const night = nightOf(minutes);
  const plan = planTonight(yard, night);
  expect(verifyPlan(yard, night, plan)).toEqual([]);
  return plan;
}

/** Yards that once kept the search going for minutes, though nothing was left to be found. */
describe('a search ends where no more can be had', () => {
  const others = {
    circuits: [circuitOf('dock', 20)],
    props: ['a', 'b', 'c'].map((id) => propOf(id, [moveOf('go', MINUTE, { loads: [load('dock', 1)] })])),
    scenes: ['a', 'b', 'c'].map((id) => sceneOf(id, [`${id}.go`])),
  };

  test('beside a scene that can never run the others have all they want', () => {
    const plan = planned(
      yardOf({
        ...others,
        props: [
          ...others.props,
          propOf('lost', [moveOf('go', 10_000, { needs: [{ kind: 'at-home', prop: 'lost' }] })]),
        ],
        scenes: [...others.scenes, sceneOf('lost', ['lost.go', 'a.go'])],
      }),
      240,
    );
    expect(plan.level).toBe(0);
    for (const id of ['a', 'b', 'c']) expect(plan.scenes[id]!.planned).toBe(plan.scenes[id]!.wanted);
  }, 20_000);

  test('a scene wants to start sooner than it can end, all night long', () => {
    const yard = yardOf({
      props: [propOf('gull', [moveOf('cry', 2000)])],
      scenes: [sceneOf('gull', ['gull.cry'], { everyMs: 1000 })],
    });
    const plan = planned(yard, 14 * 60);
    // 14 hours of 2 s each.
    expect(plan.scenes.gull!.planned).toBe((14 * 3600) / 2);
    expect(plan.scenes.gull!.boundBy).toEqual({ rule: 'scene', id: 'gull' });
  }, 20_000);

  test('a tank that is asked for three times what its compressor delivers, every 30 s for 14 hours', () => {
    const yard = yardOf({
      circuits: [circuitOf('dock', 50)],
      tanks: [tankOf('shed', 'dock')],
      props: ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j', 'k', 'l'].map((id) =>
        propOf(id, [moveOf('slam', 10_000, { air: [{ tank: 'shed', litres: 9 }] })]),
      ),
      scenes: ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j', 'k', 'l'].map((id) =>
        sceneOf(id, [`${id}.slam`], { everyMs: 30_000 }),
      ),
    });
    const plan = planned(yard, 14 * 60);
    expect(plan.worth / plan.bound.worth).toBeGreaterThan(0.99);
  }, 40_000);
});

test('the bound is nothing for a scene whose single run draws more than a full tank holds, or moves longer than its duty', () => {
  const yard = yardOf({
    circuits: [circuitOf('dock', 50)],
    // 1 l from 827 down to 480 kPa is 3.4 l of free air.
    tanks: [tankOf('shed', 'dock', { volumeLitres: 1 })],
    props: [
      propOf('hatch', [moveOf('slam', 1000, { air: [{ tank: 'shed', litres: 3.5 }] })]),
      propOf('cart', [moveOf('roll', 61_000)], { duty: { on: 0.1, overMs: 10 * MINUTE } }),
    ],
    scenes: [sceneOf('slam', ['hatch.slam']), sceneOf('roll', ['cart.roll'])],
  });
  const plan = planned(yard, 60);
  expect(plan.bound).toEqual({ level: 0, worth: 0 });
  expect(plan.scenes.slam!.boundBy).toEqual({ rule: 'tank', id: 'shed' });
  expect(explainPlan(yard, plan)).toContain(
    'slam: 0 of 12 wanted. One run draws more air than shed holds between full (119.95 psi) and 69.62 psi, from which it works. Draw less, or fit a larger tank.',
  );
  expect(plan.scenes.roll!.boundBy).toEqual({ rule: 'duty', id: 'cart' });
});

test('what a scene with a duty could have alone does not hang on what another scene must do first', () => {
  const cart = propOf(
    'cart',
    [moveOf('out', 10_000, { until: 'far' }), moveOf('back', 10_000, { until: 'near' })],
    {
      sensors: new Map([
        ['near', { id: 'near', kind: 'end' }],
        ['far', { id: 'far', kind: 'end' }],
      ]),
      home: 'near',
    },
  );
  const figure = propOf('figure', [moveOf('row', 10_000, { needs: [need('made', 'cart', 'far')] })], {
    duty: { on: 0.5, overMs: MINUTE },
  });
  const yard = yardOf({
    props: [cart, figure],
    scenes: [sceneOf('out', ['cart.out']), sceneOf('row', ['figure.row']), sceneOf('back', ['cart.back'])],
  });
  const problem = problemOf(yard, nightOf(60));
  expect(wholeLimits(problem, limitsOf(problem)).most).toEqual([12, 12, 12]);
  expect(planned(yard, 60).worth).toBe(1);
});

test.each([0, 60_000])('ids that are words of the language, the first gap %d ms', (restMs) => {
  const ids = ['constructor', '__proto__', 'toString'];
  const yard = yardOf({
    circuits: ids.map((id) => circuitOf(id, 10)),
    tanks: ids.map((id) => tankOf(id, 'toString', { compressor: { circuit: 'toString', amps: 1 } })),
    props: ids.map((id) =>
      propOf(
        id,
        [moveOf(id, MINUTE, { loads: ids.map((c) => load(c, 3)), air: [{ tank: id, litres: 3 }] })],
        {
          restMs,
        },
      ),
    ),
    scenes: ids.map((id) => sceneOf(id, [`${id}.${id}`], { everyMs: 2 * MINUTE })),
  });
  const plan = planned(yard, 60);
  expect(Object.keys(plan.scenes)).toEqual(ids);
  expect(Object.keys(plan.circuits)).toEqual(ids);
  for (const id of ids) expect(plan.scenes[id]!.planned).toBeGreaterThan(10);
});
