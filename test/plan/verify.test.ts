import { describe, expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import type { NightTimes, PlanRun, TonightPlan } from '../../server/plan/tonight.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import type { Yard } from '../../server/yard/types.ts';
import { circuitOf, load, moveOf, need, nightOf, propOf, sceneOf, tankOf, yardOf, zoneOf } from './yards.ts';

/** A plan made by hand: scenes by their starts, s from open, every step at its expected time. */
function planOf(yard: Yard, starts: Record<string, number[]>): TonightPlan {
  const runs: PlanRun[] = [];
  for (const [id, times] of Object.entries(starts))
    times.forEach((start, k) => {
      const steps: PlanRun['steps'] = [];
      let at = start;
      for (const step of yard.scenes.get(id)!.steps) {
        if (step.kind === 'wait') {
          at += step.ms / 1000;
          continue;
        }
        let longest = 0;
        for (const { prop, move } of step.kind === 'move' ? [step] : step.moves) {
          const length = yard.props.get(prop)!.moves.get(move)!.usualMs / 1000;
          steps.push({ prop, move, start: at, end: at + length });
          longest = Math.max(longest, length);
        }
        at += longest;
      }
      runs.push({ id: `2026-10-31.${id}.${k + 1}`, scene: id, start, end: at, steps });
    });
  runs.sort((a, b) => a.start - b.start);
  return {
    night: '2026-10-31',
    yard: yard.id,
    open: '',
    close: '',
    quiet: null,
    runs,
    scenes: {},
    circuits: {},
    tanks: {},
    expects: {},
    level: 1,
    worth: 1,
    bound: { level: 1, worth: 1 },
  };
}

/** The rules broken, with what and when; what the plan says of itself is tested apart. */
function broken(yard: Yard, night: NightTimes, starts: Record<string, number[]>): string[] {
  return verifyPlan(yard, night, planOf(yard, starts))
    .filter((b) => b.rule !== 'figure')
    .map((b) => `${b.rule} ${b.id} at ${b.at}`);
}

describe('the verifier catches', () => {
  const solo = yardOf({
    props: [propOf('gull', [moveOf('cry', 10_000)])],
    scenes: [sceneOf('gull', ['gull.cry'])],
  });

  test('a start before open and an end after close, to the millisecond', () => {
    expect(broken(solo, nightOf(1), { gull: [0, 50] })).toEqual([]);
    expect(broken(solo, nightOf(1), { gull: [-0.001, 50.001] })).toEqual([
      'open gull at -0.001',
      'close gull at 60.001',
    ]);
  });

  test('a loud move that ends after quiet, but not one that ends with it', () => {
    const yard = yardOf({
      props: [propOf('bell', [moveOf('toll', 10_000, { loud: true }), moveOf('swing', 10_000)])],
      scenes: [sceneOf('toll', ['bell.toll', 'bell.swing'])],
    });
    expect(broken(yard, nightOf(10, 5), { toll: [290] })).toEqual([]);
    expect(broken(yard, nightOf(10, 5), { toll: [290.001] })).toEqual(['quiet bell at 300.001']);
  });

  test('a prop in two scenes at once, or before it has rested', () => {
    const yard = yardOf({
      props: [propOf('gull', [moveOf('cry', 10_000)], { restMs: 5000 })],
      scenes: [sceneOf('a', ['gull.cry']), sceneOf('b', ['gull.cry'])],
    });
    expect(broken(yard, nightOf(5), { a: [0], b: [15] })).toEqual([]);
    expect(broken(yard, nightOf(5), { a: [0], b: [14.999] })).toEqual(['prop gull at 14.999']);
    expect(broken(yard, nightOf(5), { a: [0], b: [3] })).toEqual(['prop gull at 3']);
  });

  test('a prop that is held for tidying alone', () => {
    const yard = yardOf({
      props: [propOf('gull', [moveOf('cry', 10_000)]), propOf('bell', [moveOf('toll', 10_000)])],
      scenes: [
        sceneOf('a', ['gull.cry'], { ifItFails: [{ prop: 'bell', move: 'toll' }] }),
        sceneOf('b', ['bell.toll']),
      ],
    });
    expect(broken(yard, nightOf(5), { a: [0], b: [5] })).toEqual(['prop bell at 5']);
  });

  test('a scene that starts again before it has rested', () => {
    const yard = yardOf({ props: [], scenes: [sceneOf('calm', [10_000], { restMs: 20_000 })] });
    expect(broken(yard, nightOf(5), { calm: [0, 30] })).toEqual([]);
    expect(broken(yard, nightOf(5), { calm: [0, 29.999] })).toEqual(['scene calm at 29.999']);
  });

  test('one run too many in a zone, its gap counted, and not a prop’s zone', () => {
    const yard = yardOf({
      zones: [zoneOf('quay', 2, 5000), zoneOf('shed', 1)],
      props: ['p', 'q', 'r'].map((id) => propOf(id, [moveOf('go', 10_000)], { zone: 'shed' })),
      scenes: ['p', 'q', 'r'].map((id) => sceneOf(id, [`${id}.go`], { zone: 'quay' })),
    });
    expect(broken(yard, nightOf(5), { p: [0], q: [0], r: [15] })).toEqual([]);
    expect(broken(yard, nightOf(5), { p: [0], q: [2], r: [14.999] })).toEqual(['zone quay at 14.999']);
  });

  test('running currents over the continuous share of the breaker, standing and compressors counted', () => {
    // 210.20(A) of the NEC, as reproduced in a Schneider data bulletin: 16 A continuous just fill a 20 A breaker.
    const props = ['p', 'q'].map((id) => propOf(id, [moveOf('go', 10_000, { loads: [load('dock', 6)] })]));
    const scenes = ['p', 'q'].map((id) => sceneOf(id, [`${id}.go`]));
    const tanks = [tankOf('shed', 'dock', { compressor: { circuit: 'dock', amps: 3 } })];
    const bears = (standingAmps: number) =>
      yardOf({ circuits: [circuitOf('dock', 20, { standingAmps })], tanks, props, scenes });
    expect(broken(bears(1), nightOf(5), { p: [0], q: [5] })).toEqual([]);
    expect(broken(bears(1), nightOf(5), { p: [0], q: [10] })).toEqual([]);
    expect(broken(bears(1.1), nightOf(5), { p: [0], q: [10] })).toEqual([]);
    expect(broken(bears(1.1), nightOf(5), { p: [0], q: [9.999] })).toEqual(['circuit dock at 9.999']);
  });

  test('surges over the breaker, only while they last', () => {
    const surge = [load('dock', 2, 8, 400)];
    const props = ['p', 'q'].map((id) => propOf(id, [moveOf('go', 10_000, { loads: surge })]));
    const yard = yardOf({
      circuits: [circuitOf('dock', 15)],
      props,
      scenes: ['p', 'q'].map((id) => sceneOf(id, [`${id}.go`])),
    });
    expect(broken(yard, nightOf(5), { p: [0], q: [0.4] })).toEqual([]);
    expect(broken(yard, nightOf(5), { p: [0], q: [0.399] })).toEqual(['surge dock at 0.399']);
  });

  test('more moving than the duty allows in any window, wherever it lies', () => {
    const yard = yardOf({
      props: [propOf('cart', [moveOf('roll', 20_000)], { duty: { on: 0.4, overMs: 100_000 } })],
      scenes: [sceneOf('roll', ['cart.roll'])],
    });
    // 40 s of any 100 s: the third begins when the first has left the window by as much.
    expect(broken(yard, nightOf(10), { roll: [0, 20, 100] })).toEqual([]);
    expect(broken(yard, nightOf(10), { roll: [0, 40, 99.9] }).every((b) => b.startsWith('duty cart'))).toBe(
      true,
    );
    expect(broken(yard, nightOf(10), { roll: [0, 40, 99.9] })).not.toEqual([]);
  });

  test('a draw that leaves less than the working pressure', () => {
    // 10.1325 l at 101.325 kPa to the atmosphere: one litre of free air is 10 kPa.
    const tank = tankOf('shed', 'air', {
      volumeLitres: 10.1325,
      cutInKpa: 700,
      cutOutKpa: 800,
      workingKpa: 500,
      deliveryLpm: 60,
    });
    const props = [propOf('hatch', [moveOf('slam', 1000, { air: [{ tank: 'shed', litres: 15 }] })])];
    const yard = yardOf({
      circuits: [circuitOf('air', 50)],
      tanks: [tank],
      props,
      scenes: [sceneOf('slam', ['hatch.slam'])],
    });
    // 800 → 650, the compressor starts; 1 s brings 10 kPa, so at 1 s there are 660 → 510; 14 s more make it 650 again.
    expect(broken(yard, nightOf(5), { slam: [0, 1, 15] })).toEqual([]);
    expect(broken(yard, nightOf(5), { slam: [0, 1, 14.999] })).toEqual(['tank shed at 14.999']);
  });

  test('a tank whose compressor stands still until cut-in', () => {
    const tank = tankOf('shed', 'air', {
      volumeLitres: 10.1325,
      cutInKpa: 600,
      cutOutKpa: 800,
      workingKpa: 500,
      deliveryLpm: 60,
    });
    const props = [propOf('hatch', [moveOf('slam', 1000, { air: [{ tank: 'shed', litres: 16 }] })])];
    const yard = yardOf({
      circuits: [circuitOf('air', 50)],
      tanks: [tank],
      props,
      scenes: [sceneOf('slam', ['hatch.slam'])],
    });
    // 800 → 640 does not start it, so ten minutes on there is still too little for the next.
    expect(broken(yard, nightOf(20), { slam: [0, 600] })).toEqual(['tank shed at 600']);
  });

  describe('needs that the plan decides', () => {
    const cart = propOf(
      'cart',
      [moveOf('out', 10_000, { until: 'far' }), moveOf('back', 10_000, { until: 'near' })],
      {
        sensors: new Map([
          ['near', { id: 'near', kind: 'end' }],
          ['far', { id: 'far', kind: 'end' }],
          ['mat', { id: 'mat', kind: 'plain' }],
        ]),
        home: 'near',
      },
    );
    const with_ = (...needs: Parameters<typeof moveOf>[2][]) =>
      yardOf({
        props: [cart, ...needs.map((more, k) => propOf(`figure${k}`, [moveOf('row', 10_000, more)]))],
        scenes: [
          sceneOf('out', ['cart.out']),
          sceneOf('back', ['cart.back']),
          ...needs.map((_, k) => sceneOf(`row${k}`, [`figure${k}.row`])),
        ],
      });

    test('a sensor is made from the end of the move that makes it to the start of the next', () => {
      const yard = with_({ needs: [need('made', 'cart', 'far')] });
      expect(broken(yard, nightOf(5), { out: [0], row0: [10], back: [20] })).toEqual([]);
      expect(broken(yard, nightOf(5), { out: [0], row0: [9.999], back: [30] })).toEqual([
        'need figure0 at 9.999',
      ]);
      expect(broken(yard, nightOf(5), { out: [0], row0: [10], back: [19.999] })).toEqual([
        'need figure0 at 10',
      ]);
      expect(broken(yard, nightOf(5), { row0: [0] })).toEqual(['need figure0 at 0']);
    });

    test('at first a prop is at home', () => {
      const yard = with_(
        { needs: [need('made', 'cart', 'near')] },
        { needs: [{ kind: 'at-home', prop: 'cart' }] },
      );
      expect(broken(yard, nightOf(5), { row0: [0], row1: [0], out: [10], back: [50] })).toEqual([]);
      expect(broken(yard, nightOf(5), { out: [0], row1: [20], back: [50] })).toEqual(['need figure1 at 20']);
      expect(broken(yard, nightOf(5), { out: [0], back: [50], row1: [60] })).toEqual([]);
      expect(broken(yard, nightOf(5), { out: [0], back: [50], row0: [59.999] })).toEqual([
        'need figure0 at 59.999',
      ]);
    });

    test('a prop at rest is not moving', () => {
      const yard = with_({ needs: [{ kind: 'at-rest', prop: 'cart' }] });
      expect(broken(yard, nightOf(5), { out: [10], row0: [0], back: [30] })).toEqual([]);
      expect(broken(yard, nightOf(5), { out: [9.999], row0: [0] })).toEqual(['need figure0 at 0']);
    });

    test('not made is the opposite of made; a plain sensor is taken as met', () => {
      const yard = with_(
        { needs: [need('not-made', 'cart', 'near')] },
        { needs: [need('made', 'cart', 'mat')] },
      );
      expect(broken(yard, nightOf(5), { row0: [5], row1: [0], out: [20] })).toEqual(['need figure0 at 5']);
      expect(broken(yard, nightOf(5), { out: [0], row0: [15], row1: [0], back: [20] })).toEqual([]);
    });
  });

  test('steps that are not the scene’s, ids out of number, runs out of order, times too fine', () => {
    const good = planOf(solo, { gull: [0, 50] });
    const shape = (runs: PlanRun[]) =>
      verifyPlan(solo, nightOf(2), { ...good, runs }).filter((b) => b.rule === 'shape').length;
    const [a, b] = good.runs as [PlanRun, PlanRun];
    expect(shape([a, b])).toBe(0);
    expect(shape([a, { ...b, end: 61 }])).toBe(1);
    expect(shape([a, { ...b, steps: [] }])).toBe(1);
    expect(shape([a, { ...b, id: '2026-10-31.gull.3' }])).toBe(1);
    expect(
      shape([
        { ...b, id: a.id },
        { ...a, id: b.id },
      ]),
    ).toBe(1);
    expect(shape([a, { ...b, scene: 'no-such' }])).toBe(1);
    expect(shape([a, { ...b, start: 50.0004 }])).toBe(1);
  });
});

test('the verifier catches each figure that is not so', () => {
  const yard = yardOf({
    circuits: [circuitOf('dock', 15)],
    zones: [zoneOf('quay', 1)],
    props: ['p', 'q'].map((id) => propOf(id, [moveOf('go', 100_000, { loads: [load('dock', 2, 5, 300)] })])),
    scenes: ['p', 'q'].map((id) => sceneOf(id, [`${id}.go`], { zone: 'quay', everyMs: 150_000 })),
  });
  const plan = planTonight(yard, nightOf(20));
  expect(verifyPlan(yard, nightOf(20), plan)).toEqual([]);
  expect(plan.level).toBeLessThan(1);
  const p = plan.scenes.p!;
  const lies: Partial<TonightPlan>[] = [
    { level: plan.level + 0.01 },
    { worth: plan.worth - 0.01 },
    { bound: { level: plan.level - 0.01, worth: 1 } },
    { bound: { level: 1, worth: plan.worth - 0.01 } },
    { scenes: { ...plan.scenes, p: { ...p, wanted: p.wanted + 1 } } },
    { scenes: { ...plan.scenes, p: { ...p, planned: p.planned + 1 } } },
    { scenes: { ...plan.scenes, p: { ...p, longestGap: p.longestGap + 1 } } },
    { scenes: { ...plan.scenes, p: { ...p, boundBy: null } } },
    { scenes: { q: plan.scenes.q! } },
    { circuits: { dock: { ...plan.circuits.dock!, peakAmps: 1 } } },
    { circuits: { dock: { ...plan.circuits.dock!, peakSurgeAmps: 1 } } },
    { circuits: {} },
  ];
  for (const lie of lies)
    expect(
      verifyPlan(yard, nightOf(20), { ...plan, ...lie }).map((b) => b.rule),
      JSON.stringify(lie),
    ).toContain('figure');
});
