import fc from 'fast-check';
import { expect, test } from 'vitest';
import { partsOf } from '../../server/plan/parts.ts';
import { type PlanScene, problemOf, type Use } from '../../server/plan/problem.ts';
import { wildCase } from './wild.ts';
import { KEPT } from './yards.ts';

/** The most that a scene alone takes of a rule at any moment, its runs as close as they may be: swept, not reckoned. */
function mostAtOnce({ spacingMs }: PlanScene, { from, to, amount }: Use): number {
  const runs = 2 + Math.ceil(Math.max(...to) / spacingMs);
  const edges = Array.from({ length: runs }, (_, k) => k * spacingMs).flatMap((start) =>
    amount.flatMap((much, n) => [
      { at: start + from[n]!, by: much },
      { at: start + to[n]!, by: -much },
    ]),
  );
  // what ends makes room for what begins in the same instant
  edges.sort((a, b) => a.at - b.at || a.by - b.by);
  let now = 0;
  return Math.max(...edges.map(({ by }) => (now += by)));
}

test('a rule is left out only where all of its scenes have room in it at once, whenever they run', () => {
  let leftOut = 0;
  let kept = 0;
  const held = (problem: ReturnType<typeof problemOf>) => {
    const parts = partsOf(problem);
    // every scene is in one part, and only shared rules are ever left out of it
    expect(parts.flatMap(({ whole }) => whole).sort((a, b) => a - b)).toEqual(
      problem.scenes.map((s) => s.index),
    );
    const uses = new Map(
      parts.flatMap(({ problem: part, whole }) => part.scenes.map((s, n) => [whole[n]!, s.uses.length])),
    );
    for (const [k, { room }] of problem.shared.entries()) {
      const takers = problem.scenes.flatMap((s) =>
        s.uses.filter((u) => u.shared === k).map((use) => ({ scene: s, use })),
      );
      const most = takers.reduce((sum, { scene, use }) => sum + mostAtOnce(scene, use), 0);
      const own = new Set(
        parts
          .filter(({ whole }) => takers.some(({ scene }) => whole.includes(scene.index)))
          .flatMap(({ problem: part }) => part.shared.map(({ rule, id }) => `${rule} ${id}`)),
      );
      const { rule, id } = problem.shared[k]!;
      if (own.has(`${rule} ${id}`)) kept += 1;
      else {
        leftOut += 1;
        expect(most, `${rule} ${id}`).toBeLessThanOrEqual(room);
      }
    }
    for (const s of problem.scenes) expect(uses.get(s.index)).toBeLessThanOrEqual(s.uses.length);
  };
  for (const { yard, night } of KEPT) held(problemOf(yard, night));
  fc.assert(
    fc.property(wildCase, ({ yard, night }) => held(problemOf(yard, night))),
    { numRuns: 500, seed: 20261031 },
  );
  expect(leftOut).toBeGreaterThan(100);
  expect(kept).toBeGreaterThan(100);
});
