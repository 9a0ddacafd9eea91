import { describe, expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { verifyPlan } from '../../server/plan/verify.ts';
import { seeded } from '../../server/show/chance.ts';
import { moveOf, nightOf, propOf, sceneOf, yardOf, zoneOf } from '../plan/yards.ts';

/*
 * Runs of different lengths that can't be interrupted, one at a time, each due again after its period.
 *
 * Sources: K. Jeffay, D. F. Stanat, C. U. Martel, On non-preemptive scheduling of periodic and sporadic tasks,
 * RTSS 1991, 129–139 (the condition below is from memory). J. Korst and others on strictly periodic tasks, e.g.
 * INFORMS Journal on Computing 9 (1997), no. 4 (two of them fit a fixed grid if and only if c1 + c2 ≤ gcd(p1, p2);
 * the statement is from memory). C. L. Liu, J. W. Layland, JACM 20 (1973): not applicable, since a prop's run can't
 * be interrupted.
 */
type Task = readonly [lengthMin: number, everyMin: number];

/** Σ c/p ≤ 1, and for every L between the shortest period and p_i: L ≥ c_i + Σ_{j<i} ⌊(L−1)/p_j⌋·c_j. */
function jeffay(tasks: readonly Task[]): boolean {
  const sorted = [...tasks].sort((a, b) => a[1] - b[1]);
  if (sorted.reduce((sum, [c, p]) => sum + c / p, 0) > 1 + 1e-9) return false;
  return sorted.every(([c, p], i) => {
    for (let length = sorted[0]![1] + 1; length < p; length++) {
      const before = sorted
        .slice(0, i)
        .reduce((sum, [cj, pj]) => sum + Math.floor((length - 1) / pj) * cj, 0);
      if (length < c + before) return false;
    }
    return true;
  });
}

function planFor(tasks: readonly Task[], minutes: number) {
  const yard = yardOf({
    zones: [zoneOf('quay', 1)],
    props: tasks.map(([c], i) => propOf(`p${i}`, [moveOf('go', c * 60_000)])),
    scenes: tasks.map(([, p], i) => sceneOf(`s${i}`, [`p${i}.go`], { zone: 'quay', everyMs: p * 60_000 })),
  });
  const plan = planTonight(yard, nightOf(minutes));
  expect(verifyPlan(yard, nightOf(minutes), plan)).toEqual([]);
  return plan;
}

describe('non-preemptive periodic tasks', () => {
  test('the condition says what the paper’s examples say', () => {
    expect(
      jeffay([
        [2, 5],
        [4, 10],
      ]),
    ).toBe(true);
    expect(
      jeffay([
        [2, 5],
        [5, 10],
      ]),
    ).toBe(false);
    expect(
      jeffay([
        [1, 4],
        [2, 6],
        [4, 12],
      ]),
    ).toBe(true);
  });

  test.each([
    [
      [
        [2, 5],
        [4, 10],
      ],
    ],
    [
      [
        [1, 4],
        [2, 6],
        [4, 12],
      ],
    ],
    [
      [
        [1, 3],
        [2, 6],
        [3, 12],
      ],
    ],
  ] as [Task[]][])('%j can be kept, so all that is wanted is planned', (tasks) => {
    expect(jeffay(tasks)).toBe(true);
    const plan = planFor(tasks, 120);
    expect([plan.level, plan.worth]).toEqual([1, 1]);
  });

  test('whatever set meets the condition, all that is wanted is planned', () => {
    const draw = seeded('jeffay');
    let kept = 0;
    while (kept < 40) {
      const tasks = Array.from({ length: 2 + Math.floor(draw() * 3) }, (): Task => {
        const every = 3 + Math.floor(draw() * 14);
        return [1 + Math.floor(draw() * Math.min(5, every - 1)), every];
      });
      if (!jeffay(tasks)) continue;
      kept += 1;
      // A night that ends with a period of each: whoever keeps all deadlines has as many runs as are wanted.
      const night = tasks.reduce((product, [, p]) => lcm(product, p), 1);
      const plan = planFor(tasks, night > 720 ? 720 : night * Math.ceil(60 / night));
      expect(plan.bound.level, JSON.stringify(tasks)).toBe(1);
      expect(plan.level, JSON.stringify(tasks)).toBe(1);
      expect(plan.worth, JSON.stringify(tasks)).toBe(1);
    }
  }, 120_000);
});

describe('two strictly periodic tasks', () => {
  const pairs: [Task, Task][] = [];
  for (const c1 of [1, 2])
    for (const c2 of [1, 2, 3])
      for (const [p1, p2] of [
        [6, 9],
        [4, 6],
        [5, 10],
        [6, 8],
        [8, 12],
        [7, 9],
      ] as const)
        pairs.push([
          [c1, p1],
          [c2, p2],
        ]);

  test.each(pairs.filter(([[c1, p1], [c2, p2]]) => c1 + c2 <= gcd(p1, p2)))(
    '%j and %j fit one grid, so no gap is longer than its every',
    (a, b) => {
      const plan = planFor([a, b], 144);
      expect([plan.level, plan.worth]).toEqual([1, 1]);
      expect(plan.scenes.s0!.longestGap).toBeLessThanOrEqual(a[1] * 60);
      expect(plan.scenes.s1!.longestGap).toBeLessThanOrEqual(b[1] * 60);
    },
  );

  test.each(pairs.filter(([[c1, p1], [c2, p2]]) => c1 + c2 > gcd(p1, p2)))(
    '%j and %j fit no grid, so a plan of all their runs keeps neither to every exactly',
    (a, b) => {
      const plan = planFor([a, b], 144);
      const even = (id: string, every: number) => {
        const starts = plan.runs.filter((r) => r.scene === id).map((r) => r.start);
        return starts.slice(1).every((s, k) => Math.abs(s - starts[k]! - every * 60) < 1e-6);
      };
      expect([plan.level, plan.worth]).toEqual([1, 1]);
      expect(even('s0', a[1]) && even('s1', b[1])).toBe(false);
    },
  );
});

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

function lcm(a: number, b: number): number {
  return (a / gcd(a, b)) * b;
}
