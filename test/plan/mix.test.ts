import { expect, test } from 'vitest';
import { wholeLimits } from '../../server/plan/alone.ts';
import { limitsOf } from '../../server/plan/bound.ts';
import { lay } from '../../server/plan/lay.ts';
import { type Mix, Mixer } from '../../server/plan/mix.ts';
import { type Problem, problemOf } from '../../server/plan/problem.ts';
import { Schedule } from '../../server/plan/schedule.ts';
import { seeded } from '../../server/show/chance.ts';
import { solverLoaded } from './solver.ts';
import { caseOf } from './yards.ts';

const solver = await solverLoaded();

const MINUTE = 60_000;
const PLENTY = 1e9;

/** Eight scenes of one minute each on one circuit that is too small for them. */
function minutes(seed: number, circuit: number, weights: readonly number[] = [1]): Problem {
  const { yard, night } = caseOf('minutes', {
    seed,
    scenes: 8,
    hours: 4,
    everyMs: [2 * MINUTE, 5 * MINUTE],
    lengthMs: [MINUTE, MINUTE],
    gridMs: MINUTE,
    circuit,
    weights,
  });
  return problemOf(yard, night);
}

function mixed(problem: Problem): Mix {
  const limits = wholeLimits(problem, limitsOf(problem));
  return new Mixer(problem, limits, seeded('mix')).search(PLENTY)!;
}

/**
 * The greatest level: where all runs last a minute, the night is cut into minutes, and each is filled with some set of
 * scenes that the circuit bears. All of these sets are listed here, and HiGHS (highs.dev, MIT; the npm package `highs`)
 * divides the night among them so that every scene has min(1, level × weight) of what it wants. What level can be had is
 * found by halving.
 */
function greatest({ scenes, shared, windowMs }: Problem): number {
  const circuit = shared.findIndex((r) => r.rule === 'circuit');
  const amps = scenes.map((s) => s.uses.find((u) => u.shared === circuit)!.amount[0]!);
  const sets = Array.from({ length: 2 ** scenes.length }, (_, bits) =>
    scenes.flatMap((_, i) => (bits & (1 << i) ? [i] : [])),
  ).filter((set) => set.reduce((sum, i) => sum + amps[i]!, 0) <= shared[circuit]!.room);
  const fits = (level: number): boolean => {
    const rows = scenes.map((s, i) => {
      const owed = Math.min(1, level * s.weight) * s.wanted;
      return `${sets.flatMap((set, k) => (set.includes(i) ? [`y${k}`] : [])).join(' + ')} >= ${owed}`;
    });
    const all = sets.map((_, k) => `y${k}`).join(' + ');
    const solution = solver.solve(`Minimize\n obj: ${all}\nSubject To\n${rows.join('\n')}\nEnd\n`, {
      output_flag: false,
    });
    if (solution.Status !== 'Optimal') throw new Error(`HiGHS says ${solution.Status}`);
    return solution.ObjectiveValue <= windowMs / MINUTE + 1e-9;
  };
  let [low, high] = [0, 1];
  while (high - low > 1e-5) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** The level of a mix. */
function levelOf({ scenes }: Problem, { runs }: Mix): number {
  return scenes.reduce((least, s) => {
    const share = runs[s.index]! / s.wanted;
    return share > 1 - 2e-3 ? least : Math.min(least, share / s.weight);
  }, 1);
}

test.each([1, 2, 3, 4, 5, 6])('blocks found by chance are as good as all that there are (%i)', (seed) => {
  const problem = minutes(seed, 1.1 + 0.2 * seed);
  const level = levelOf(problem, mixed(problem));
  const most = greatest(problem);
  expect(most).toBeLessThan(0.95);
  expect(level).toBeLessThan(most + 1e-4);
  expect(level).toBeGreaterThan(most - 1e-3);
});

test.each([1, 2, 3, 8])('and where some scenes weigh more, none is owed more than all (%i)', (seed) => {
  const problem = minutes(seed, 1.2, [1, 1, 3]);
  const level = levelOf(problem, mixed(problem));
  const most = greatest(problem);
  // So high that those of weight 3 have all: there the straight line to what is owed has ended.
  expect(most).toBeGreaterThan(0.4);
  expect(most).toBeLessThan(0.95);
  expect(level).toBeLessThan(1.002 * most);
  expect(level).toBeGreaterThan(0.99 * most);
});

test('what a mix promises is laid to within three runs of each scene, and evenly', () => {
  for (const seed of [1, 2, 3, 4, 5, 6]) {
    const problem = minutes(seed, 1.3);
    const mix = mixed(problem);
    const schedule = new Schedule(problem);
    const endMs = lay(schedule, mix, seeded('lay'));
    expect(endMs).toBeLessThanOrEqual(problem.windowMs);
    expect(endMs).toBeGreaterThan(0.95 * problem.windowMs);
    for (const s of problem.scenes) {
      const starts = schedule.starts[s.index]!;
      expect(Math.abs(starts.length - mix.runs[s.index]!), s.id).toBeLessThanOrEqual(3);
      // By any moment as many have begun as its share of the night says, but for a few.
      starts.forEach((at, k) => {
        const due = (mix.runs[s.index]! * at) / problem.windowMs;
        expect(Math.abs(k - due), `${s.id} at ${at}`).toBeLessThan(5);
      });
    }
  }
});
