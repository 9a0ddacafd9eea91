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
  test('at a density of 5/6 or less nothing is ever called impossible: all is planned and no gap is much too long', () => {
    let tried = 0;
    for (const periods of families()) {
      if (density(periods) > 5 / 6 + 1e-9) continue;
      tried += 1;
      const yard = yardFor(periods);
      const plan = planTonight(yard, nightOf(SLOTS), { steps: 300_000 });
      expect(verifyPlan(yard, nightOf(SLOTS), plan)).toEqual([]);
      expect([plan.level, plan.worth], periods.join()).toEqual([1, 1]);
      // The plan bears a twentieth, since what shortens such a gap is a run beyond what is wanted.
      expect(Math.max(...gaps(plan, periods)), periods.join()).toBeLessThanOrEqual(1.05);
    }
    expect(tried).toBe(163);
  }, 240_000);

  test.each([6, 7, 8, 12, 30])('(2, 3, %i) keeps no schedule, so the plan owns up to too long a gap', (m) => {
    const yard = yardFor([2, 3, m]);
    const plan = planTonight(yard, nightOf(SLOTS));
    expect(verifyPlan(yard, nightOf(SLOTS), plan)).toEqual([]);
    expect(Math.max(...gaps(plan, [2, 3, m]))).toBeGreaterThan(1);
  });

  test.each([[[3, 4, 5, 7]], [[2, 5, 7, 8]], [[3, 4, 4, 8]], [[3, 3, 5, 8]], [[2, 5, 6, 8]]])(
    '%j, found unschedulable by an exhaustive search over all states (our own), neither',
    (periods) => {
      const plan = planTonight(yardFor(periods), nightOf(SLOTS));
      expect(Math.max(...gaps(plan, periods))).toBeGreaterThan(1);
    },
  );

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
