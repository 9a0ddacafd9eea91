import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Mended, mendTonight, type NightState, type RunningRun } from '../../server/plan/mend.ts';
import { planTonight } from '../../server/plan/plan.ts';
import type { NightTimes, TonightPlan } from '../../server/plan/tonight.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import type { Yard } from '../../server/yard/types.ts';
import { stateOf } from './night-state.ts';
import { wildCase } from './wild.ts';
import { caseOf, moveOf, nightOf, propOf, sceneOf, yardOf, zoneOf } from './yards.ts';

const QUIET_STATE = {
  shutScenes: [],
  propRests: {},
  sceneRests: {},
  zoneGaps: {},
  moved: {},
  tanks: {},
  at: {},
} as const;

/** One zone, two scenes a minute long, every 4 min, in turn. */
function turns() {
  const props = [propOf('gull', [moveOf('cry', 60_000)]), propOf('bell', [moveOf('toll', 60_000)])];
  const yard = yardOf({
    zones: [zoneOf('quay', 1)],
    props,
    scenes: [
      sceneOf('gull', ['gull.cry'], { zone: 'quay', everyMs: 240_000 }),
      sceneOf('bell', ['bell.toll'], { zone: 'quay', everyMs: 240_000 }),
    ],
  });
  return { yard, night: nightOf(30) };
}

const at = (night: NightTimes, seconds: number) => night.openMs + seconds * 1000;

function running(
  night: NightTimes,
  scene: string,
  prop: string,
  move: string,
  from: number,
  to: number,
): RunningRun {
  const [startMs, endMs] = [at(night, from), at(night, to)];
  return { scene, startMs, endMs, moves: [{ prop, move, startMs, endMs }] };
}

describe('mending', () => {
  test('with nothing in the way every run stays at its time', () => {
    const { yard, night } = turns();
    const remaining = [
      { id: 'a', scene: 'gull', startMs: at(night, 300) },
      { id: 'b', scene: 'bell', startMs: at(night, 360) },
    ];
    const mended = mendTonight(yard, night, {
      ...QUIET_STATE,
      nowMs: at(night, 100),
      running: [],
      remaining,
    });
    expect(mended).toEqual({ runs: remaining, shifted: 0, dropped: [] });
  });

  test('a late end shifts the run behind it, and only that', () => {
    const { yard, night } = turns();
    const mended = mendTonight(yard, night, {
      ...QUIET_STATE,
      nowMs: at(night, 170),
      running: [running(night, 'gull', 'gull', 'cry', 100, 190)],
      remaining: [
        { id: 'b', scene: 'bell', startMs: at(night, 165) },
        { id: 'a', scene: 'gull', startMs: at(night, 340) },
      ],
    });
    expect(mended.runs).toEqual([
      { id: 'b', scene: 'bell', startMs: at(night, 190) },
      { id: 'a', scene: 'gull', startMs: at(night, 340) },
    ]);
    expect(mended.shifted).toBe(1);
  });

  test('what would start later than half its every after its time is dropped, with the rule', () => {
    const { yard, night } = turns();
    const state: NightState = {
      ...QUIET_STATE,
      nowMs: at(night, 100),
      running: [running(night, 'gull', 'gull', 'cry', 40, 260)],
      remaining: [
        { id: 'b', scene: 'bell', startMs: at(night, 110) },
        { id: 'c', scene: 'bell', startMs: at(night, 350) },
      ],
    };
    const mended = mendTonight(yard, night, state);
    expect(mended.dropped).toEqual([{ id: 'b', scene: 'bell', startMs: at(night, 110), rule: 'zone quay' }]);
    expect(mended.runs.map((r) => r.id)).toEqual(['c']);
  });

  test('a run that was shifted before is counted from the time first drawn up', () => {
    const { yard, night } = turns();
    const shifted = { id: 'b', scene: 'bell', startMs: at(night, 200), drawnMs: at(night, 110) };
    const state: NightState = {
      ...QUIET_STATE,
      nowMs: at(night, 190),
      running: [running(night, 'gull', 'gull', 'cry', 140, 240)],
      remaining: [shifted],
    };
    expect(mendTonight(yard, night, state).dropped.map((r) => r.id)).toEqual(['b']);
    const { drawnMs, ...fresh } = shifted;
    expect(drawnMs).toBeLessThan(fresh.startMs);
    expect(mendTonight(yard, night, { ...state, remaining: [fresh] }).shifted).toBe(1);
  });

  test('the runs of a scene that is shut stay where they are and take no room', () => {
    const { yard, night } = turns();
    const mended = mendTonight(yard, night, {
      ...QUIET_STATE,
      nowMs: at(night, 100),
      running: [],
      shutScenes: ['gull'],
      remaining: [
        { id: 'a', scene: 'gull', startMs: at(night, 150) },
        { id: 'b', scene: 'bell', startMs: at(night, 160) },
      ],
    });
    expect(mended.runs.map((r) => r.id)).toEqual(['a', 'b']);
    expect([mended.shifted, mended.dropped.length]).toEqual([0, 0]);
  });

  test('rests, gaps, duty, air and position that come from before bind too', () => {
    const props = [
      propOf('hatch', [moveOf('slam', 10_000, { air: [{ tank: 'shed', litres: 5 }] })]),
      propOf('cart', [moveOf('out', 10_000, { until: 'far' }), moveOf('back', 10_000, { until: 'near' })], {
        sensors: new Map([
          ['near', { id: 'near', kind: 'end' }],
          ['far', { id: 'far', kind: 'end' }],
        ]),
        home: 'near',
        duty: { on: 0.5, overMs: 100_000 },
      }),
      propOf('figure', [moveOf('row', 10_000, { needs: [{ kind: 'made', prop: 'cart', sensor: 'far' }] })]),
    ];
    const tank = {
      id: 'shed',
      title: 'Shed',
      volumeLitres: 10.1325,
      cutInKpa: 600,
      cutOutKpa: 800,
      workingKpa: 400,
      deliveryLpm: 60,
      compressor: { circuit: 'c', amps: 1 },
    };
    const yard = yardOf({
      tanks: [tank],
      zones: [zoneOf('quay', 1, 30_000)],
      props,
      scenes: [
        sceneOf('slam', ['hatch.slam'], { everyMs: 600_000 }),
        sceneOf('roll', ['cart.out'], { everyMs: 600_000 }),
        sceneOf('row', ['figure.row'], { everyMs: 600_000 }),
        sceneOf('calm', [10_000], { zone: 'quay', everyMs: 600_000 }),
      ],
    });
    const night = nightOf(60);
    const mended = mendTonight(yard, night, {
      ...QUIET_STATE,
      nowMs: at(night, 100),
      running: [],
      remaining: ['slam', 'roll', 'row', 'calm'].map((scene) => ({
        id: scene,
        scene,
        startMs: at(night, 101),
      })),
      zoneGaps: { quay: [at(night, 115)] },
      // 45 s of the last 100 s: ten more fit once five of them have left the window.
      moved: { cart: [[at(night, 40), at(night, 85)]] },
      // 40 l hold 400 kPa; one short of the five that a slam takes, and a litre a second comes in.
      tanks: { shed: { atMs: at(night, 100), litres: 41, pumping: true } },
      at: { cart: null },
    });
    const starts = Object.fromEntries(mended.runs.map((r) => [r.scene, (r.startMs - night.openMs) / 1000]));
    // The window that ends with the roll's end, 10 s after its start, may hold 40 s of the earlier moving.
    expect(starts).toEqual({ slam: 104, roll: 135, row: 145, calm: 115 });
  });
});

/** The night so far and what is left, as one plan to be verified: runs under way with the moves they really make. */
function joined(
  plan: TonightPlan,
  night: NightTimes,
  begun: TonightPlan['runs'],
  mended: Mended,
  yard: Yard,
): TonightPlan {
  const lengths = new Map(plan.runs.map((r) => [r.scene, r]));
  const later = mended.runs.map((r) => {
    const like = lengths.get(r.scene)!;
    const by = (r.startMs - night.openMs) / 1000 - like.start;
    const shift = (s: number) => Math.round((s + by) * 1000) / 1000;
    const steps = like.steps.map((s) => ({ ...s, start: shift(s.start), end: shift(s.end) }));
    return { id: r.id, scene: r.scene, start: shift(like.start), end: shift(like.end), steps };
  });
  expect(yard.scenes.size).toBeGreaterThan(0);
  return { ...plan, runs: [...begun, ...later].sort((a, b) => a.start - b.start) };
}

test('whatever the yard and whatever comes late, what is left of the plan breaks no rule', () => {
  let shifts = 0;
  let drops = 0;
  fc.assert(
    fc.property(wildCase, fc.nat(), fc.integer({ min: 1, max: 60 }), ({ yard, night }, pick, lateS) => {
      const plan = planTonight(yard, night, { steps: 5000 });
      fc.pre(plan.runs.length > 1);
      // One run ends late: the last of its steps (or its wait) takes so much longer. That is now.
      const late = plan.runs[pick % plan.runs.length]!;
      const now = late.end;
      const end = late.end + lateS;
      const lastStep = late.steps.findIndex((s) => s.end === late.end);
      const lateRun = { ...late, end, steps: late.steps.map((s, k) => (k === lastStep ? { ...s, end } : s)) };
      const begun = plan.runs.filter((r) => r.start < now).map((r) => (r === late ? lateRun : r));
      const state = stateOf(yard, night, begun, now, plan);
      const mended = mendTonight(yard, night, state);
      expect(mendTonight(yard, night, JSON.parse(JSON.stringify(state)))).toEqual(mended);
      expect(mended.runs.length + mended.dropped.length).toBe(state.remaining.length);
      shifts += mended.shifted;
      drops += mended.dropped.length;
      const whole = joined(plan, night, begun, mended, yard);
      // What the lateness itself has broken already no mending can help.
      const broken = verifyPlan(yard, night, whole).filter(
        (b) =>
          !['shape', 'figure'].includes(b.rule) && b.runs.some((id) => mended.runs.some((r) => r.id === id)),
      );
      expect(broken).toEqual([]);
    }),
    { numRuns: 550, seed: 20261031 },
  );
  expect(shifts).toBeGreaterThan(50);
  expect(drops).toBeGreaterThan(50);
}, 120_000);

test('the rest of a large night is mended the same way twice', () => {
  const { yard, night } = caseOf('sixty', {
    seed: 5,
    scenes: 60,
    hours: 6,
    everyMs: [180_000, 480_000],
    lengthMs: [60_000, 150_000],
    gridMs: 1000,
    circuit: 0.9,
    zone: 0.8,
    perCircuit: 12,
    perZone: 6,
  });
  const plan = planTonight(yard, night, { steps: 50_000 });
  const late = plan.runs[100]!;
  const now = late.end;
  const end = late.end + 45;
  const begun = plan.runs
    .filter((r) => r.start < now)
    .map((r) =>
      r === late ? { ...r, end, steps: r.steps.map((s) => (s.end === late.end ? { ...s, end } : s)) } : r,
    );
  const state = stateOf(yard, night, begun, now, plan);
  const mended = mendTonight(yard, night, state);
  expect(mendTonight(yard, night, state)).toEqual(mended);
  expect(mended.shifted + mended.dropped.length).toBeLessThan(60);
  expect(mended.runs.length).toBeGreaterThan(state.remaining.length - 30);
});
