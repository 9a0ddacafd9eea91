import { describe, expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import type { PlanRun, TonightPlan } from '../../server/plan/tonight.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { moveOf, nightOf, propOf, sceneOf, yardOf, zoneOf } from '../plan/yards.ts';

/*
 * Pinwheel scheduling: tasks of one slot each share a place that holds one at a time; task i must come at least once
 * in every window of a_i slots. In a yard: scenes a minute long in a zone that holds one, `every` a_i minutes, no gap
 * longer than `every`.
 *
 * Sources: A. Kawamura, Proof of the density threshold for pinwheel scheduling, STOC 2024 (density Σ 1/a_i ≤ 5/6:
 * schedulable; above 1: not). P. C. Fishburn, J. C. Lagarias, Pinwheel scheduling: achievable densities,
 * Algorithmica 34 (2002) 14–38 ((2, 3, m) is not schedulable for any m). The schedule of (4, 5, 5, 7, 7) is the one on
 * Kawamura's page on pinwheel scheduling.
 */
const SLOT_MS = 60_000;
const SLOTS = 60;

function yardFor(periods: readonly number[]) {
  return yardOf({
    zones: [zoneOf('quay', 1)],
    props: periods.map((_, i) => propOf(`p${i}`, [moveOf('go', SLOT_MS)])),
    scenes: periods.map((a, i) => sceneOf(`s${i}`, [`p${i}.go`], { zone: 'quay', everyMs: a * SLOT_MS })),
  });
}

/** Longest gap of each scene over its period; open → first and last → latest possible are gaps too. */
function gaps(plan: TonightPlan, periods: readonly number[]): number[] {
  return periods.map((a, i) => (plan.scenes[`s${i}`]!.longestGap * 1000) / (a * SLOT_MS));
}

const density = (periods: readonly number[]) => periods.reduce((sum, a) => sum + 1 / a, 0);

/**
 * Whether there is an endless schedule, by trying all: a state is how many slots each task may still wait; from each
 * any one task may go next. There is a schedule if, when states without a way on are struck out again and again,
 * the first one is left.
 */
function schedulable(periods: readonly number[]): boolean {
  const size = periods.reduce((product, a) => product * a, 1);
  const decoded = (state: number) =>
    periods.map((a) => {
      const left = state % a;
      state = (state - left) / a;
      return left;
    });
  const encoded = (left: readonly number[]) => periods.reduceRight((sum, a, i) => sum * a + left[i]!, 0);
  const nexts = (state: number) => {
    const left = decoded(state);
    return periods.flatMap((a, i) => {
      // Task i goes now; every other waits a slot more, if it may.
      if (left.some((x, j) => j !== i && x === 0)) return [];
      return [encoded(left.map((x, j) => (j === i ? a - 1 : x - 1)))];
    });
  };
  const alive = new Uint8Array(size).fill(1);
  for (let struck = true; struck; ) {
    struck = false;
    for (let state = 0; state < size; state++)
      if (alive[state] === 1 && !nexts(state).some((n) => alive[n] === 1)) {
        alive[state] = 0;
        struck = true;
      }
  }
  return alive[size - 1] === 1;
}

/** All of 2 to 4 tasks with periods of 2 to 8. */
function* families(): Generator<number[]> {
  for (let a = 2; a <= 8; a++)
    for (let b = a; b <= 8; b++) {
      yield [a, b];
      for (let c = b; c <= 8; c++) {
        yield [a, b, c];
        for (let d = c; d <= 8; d++) yield [a, b, c, d];
      }
    }
}

describe('pinwheel', () => {
  test('at a density of 5/6 or less nothing is ever called impossible: all is planned and no gap is too long', () => {
    let tried = 0;
    for (const periods of families()) {
      if (density(periods) > 5 / 6 + 1e-9) continue;
      tried += 1;
      const yard = yardFor(periods);
      const plan = planTonight(yard, nightOf(SLOTS), { steps: 300_000 });
      expect(verifyPlan(yard, nightOf(SLOTS), plan)).toEqual([]);
      expect([plan.level, plan.worth], periods.join()).toEqual([1, 1]);
      expect(Math.max(...gaps(plan, periods)), periods.join()).toBeLessThanOrEqual(1);
    }
    expect(tried).toBe(163);
  }, 240_000);

  const IMPOSSIBLE = [
    ...[6, 7, 8, 12, 30].map((m) => [2, 3, m]),
    [3, 4, 4, 6],
    [3, 4, 4, 7],
    [3, 4, 4, 8],
    [3, 4, 5, 5],
    [3, 4, 5, 6],
    [3, 4, 5, 7],
    [3, 3, 5, 8],
    [2, 5, 6, 8],
    [2, 5, 7, 7],
    [2, 5, 7, 8],
  ];
  test.each(IMPOSSIBLE.map((periods) => ({ periods })))(
    '$periods: there is no schedule, and the plan names the place',
    ({ periods }) => {
      expect(schedulable(periods)).toBe(false);
      const yard = yardFor(periods);
      const plan = planTonight(yard, nightOf(SLOTS));
      expect(verifyPlan(yard, nightOf(SLOTS), plan)).toEqual([]);
      const scenes = Object.values(plan.scenes);
      expect(scenes.some((s) => s.planned < s.wanted) || Math.max(...gaps(plan, periods)) > 1).toBe(true);
      expect(scenes.map((s) => s.boundBy)).toContainEqual({ rule: 'zone', id: 'quay' });
    },
  );

  test('thirteen sets of small periods, and no others, are found to have no schedule', () => {
    const none = [...families()].filter((p) => density(p) <= 1 + 1e-9 && !schedulable(p));
    expect(none.map((p) => p.join()).sort()).toEqual(
      IMPOSSIBLE.filter((p) => Math.max(...p) <= 8)
        .map((p) => p.join())
        .sort(),
    );
    expect(none).toHaveLength(13);
    for (const periods of none) expect(density(periods)).toBeGreaterThan(5 / 6);
    for (const periods of [
      [4, 5, 5, 7, 7],
      [3, 4, 5, 8],
    ])
      expect(schedulable(periods)).toBe(true);
  });

  test('a density above 1 leaves something out', () => {
    const plan = planTonight(yardFor([2, 3, 4]), nightOf(SLOTS));
    expect(plan.level).toBeLessThan(1);
    expect(plan.worth).toBeLessThan(1);
    expect(
      Object.values(plan.scenes)
        .filter((s) => s.boundBy)
        .map((s) => s.boundBy!.rule),
    ).toContain('zone');
  });

  test('the verifier accepts the published schedule of (4, 5, 5, 7, 7), period 14, and its gaps are those claimed', () => {
    const periods = [4, 5, 5, 7, 7];
    const yard = yardFor(periods);
    const order = 'BACDBAECABDCAE'.repeat(5).slice(0, SLOTS);
    const numbers = new Map<string, number>();
    const runs = [...order].map((letter, slot): PlanRun => {
      // The letters name the tasks in order: A has 4, B and C have 5, D and E have 7.
      const i = 'ABCDE'.indexOf(letter);
      const number = (numbers.get(letter) ?? 0) + 1;
      numbers.set(letter, number);
      const [start, end] = [slot * 60, slot * 60 + 60];
      const steps = [{ prop: `p${i}`, move: 'go', start, end }];
      return { id: `2026-10-31.s${i}.${number}`, scene: `s${i}`, start, end, steps };
    });
    const ours = planTonight(yard, nightOf(SLOTS), { steps: 1000 });
    const published = { ...ours, runs };
    const broken = verifyPlan(yard, nightOf(SLOTS), published).filter((b) => b.rule !== 'figure');
    expect(broken).toEqual([]);
    periods.forEach((a, i) => {
      const starts = runs.filter((r) => r.scene === `s${i}`).map((r) => r.start / 60);
      const marks = [0, ...starts, SLOTS - 1];
      expect(Math.max(...marks.slice(1).map((s, k) => s - marks[k]!))).toBeLessThanOrEqual(a);
    });
    expect([ours.level, ours.worth]).toEqual([1, 1]);
  });
});
