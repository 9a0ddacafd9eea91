import { wholeLimits } from '../../server/plan/alone.ts';
import { limitsOf, owed } from '../../server/plan/bound.ts';
import { partsOf } from '../../server/plan/parts.ts';
import type { PlanScene, Problem } from '../../server/plan/problem.ts';
import { levelAt } from '../../server/plan/score.ts';
import { type Solver, solverLoaded } from './solver.ts';

/**
 * A sharper bound than sums over the night, by an argument and a general solver.
 *
 * The argument: at every moment the scenes that are under way form a set that the rules allow side by side. So the
 * night is divided among such sets, each for so long, and a scene has no more runs than the time of the sets that hold
 * it allows. How much that can be at most is a linear programme with one variable for each allowed set (no subset of
 * another need be looked at) and whole runs; HiGHS (highs.dev, MIT; the npm package `highs`) solves it to its proved
 * optimum. It knows what sums can't: that 3 A and 3 A don't go into 5 A at once. Loud scenes are in no set after quiet.
 * A set must also have come about: one of it started last, while the others were under way, and so on back, each with
 * its surge. Sums over the night (of litres, of a duty) and what each scene could have alone are rows besides.
 */
export interface Ceiling {
  /** No plan has a higher level. */
  readonly level: number;
  /** No plan with at least the given level has a higher worth. */
  worthAt(level: number): number;
}

export async function ceilingOf(problem: Problem): Promise<Ceiling> {
  const solver = await solverLoaded();
  const parts = partsOf(problem).map((part) => new Programme(part.problem, solver));
  const total = problem.scenes.reduce((sum, s) => sum + s.weight * s.wanted, 0);
  return {
    level: Math.min(...parts.map((part) => part.greatestLevel())),
    worthAt: (level) => parts.reduce((sum, part) => sum + part.greatestWorth(level), 0) / total,
  };
}

class Programme {
  private readonly problem: Problem;
  private readonly scenes: readonly PlanScene[];
  private readonly most: readonly number[];
  private readonly rows: string[] = [];
  private readonly solver: Solver;

  constructor(problem: Problem, solver: Solver) {
    this.solver = solver;
    this.problem = problem;
    this.scenes = problem.scenes.filter((s) => s.wanted > 0 && !s.never);
    const limits = limitsOf(problem);
    this.most = wholeLimits(problem, limits).most;
    const loud = this.scenes.filter((s) => s.lastMs < s.lastByCloseMs);
    const quietMs = Math.max(0, ...loud.map((s) => s.lastMs + s.lengthMs));
    const stretches =
      loud.length > 0 && quietMs < problem.windowMs
        ? [
            { ms: quietMs, scenes: this.scenes },
            { ms: problem.windowMs - quietMs, scenes: this.scenes.filter((s) => !loud.includes(s)) },
          ]
        : [{ ms: problem.windowMs, scenes: this.scenes }];
    const holding = new Map<number, string[]>(this.scenes.map((s) => [s.index, []]));
    stretches.forEach(({ ms, scenes }, h) => {
      const sets = allowedSets(problem, scenes);
      if (sets.length === 0) return;
      this.rows.push(`${sets.map((_, k) => `y${h}_${k}`).join(' + ')} <= ${ms / 1000}`);
      sets.forEach((set, k) => {
        for (const s of set) holding.get(s.index)!.push(`y${h}_${k}`);
      });
    });
    for (const s of this.scenes)
      this.rows.push(
        `${s.lengthMs / 1000} x${s.index}${holding
          .get(s.index)!
          .map((y) => ` - ${y}`)
          .join('')} <= 0`,
      );
    for (const row of limits.rows)
      this.rows.push(
        `${row.takes.map(([i, a]) => `${a / 1000} x${i}`).join(' + ')} <= ${(row.room * (1 + 1e-9)) / 1000}`,
      );
  }

  /** By halving: a level is one of those that some scene has with a whole number of runs. */
  greatestLevel(): number {
    const levels = [
      ...new Set(
        this.problem.scenes.flatMap((s) => Array.from({ length: s.wanted + 1 }, (_, n) => levelAt(s, n))),
      ),
    ].sort((a, b) => a - b);
    let [low, high] = [0, levels.length - 1];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.best(levels[middle]!) === null) high = middle - 1;
      else low = middle;
    }
    return levels[low]!;
  }

  greatestWorth(level: number): number {
    const worth = this.best(level);
    if (worth === null) throw new Error(`the level ${level} is above the ceiling`);
    return worth;
  }

  private best(level: number): number | null {
    const least = this.scenes.map((s) => Math.ceil(owed(s, level) - 1e-6));
    if (this.scenes.some((s, k) => least[k]! > this.most[s.index]!)) return null;
    const solution = this.solver.solve(
      `Maximize\n obj: ${this.scenes.map((s) => `${s.weight} x${s.index}`).join(' + ')}
Subject To\n${this.rows.join('\n')}
Bounds\n${this.scenes.map((s, k) => `${least[k]} <= x${s.index} <= ${this.most[s.index]}`).join('\n')}
General\n${this.scenes.map((s) => `x${s.index}`).join(' ')}\nEnd\n`,
      { output_flag: false, mip_rel_gap: 1e-4, mip_feasibility_tolerance: 1e-6 },
    );
    if (solution.Status === 'Infeasible') return null;
    if (solution.Status !== 'Optimal') throw new Error(`HiGHS says ${solution.Status}`);
    // What is proved is the optimum to within the gap.
    return solution.ObjectiveValue * (1 + 1e-4);
  }
}

/** Every set that the shared rules allow at one moment and that can have come about, but for subsets of others. */
function allowedSets(problem: Problem, scenes: readonly PlanScene[]): PlanScene[][] {
  const steady = scenes.map((s) => problem.shared.map((_, r) => leastTaken(s, r)));
  const full: PlanScene[][] = [];
  const taken = problem.shared.map(() => 0);
  const chosen: number[] = [];
  const fits = (i: number) => problem.shared.every((rule, r) => taken[r]! + steady[i]![r]! <= rule.room);
  const walk = (k: number): void => {
    if (k === scenes.length) {
      if (chosen.length > 0 && scenes.every((_, i) => chosen.includes(i) || !fits(i)))
        full.push(chosen.map((i) => scenes[i]!));
      return;
    }
    if (fits(k)) {
      chosen.push(k);
      for (let r = 0; r < taken.length; r++) taken[r]! += steady[k]![r]!;
      walk(k + 1);
      for (let r = 0; r < taken.length; r++) taken[r]! -= steady[k]![r]!;
      chosen.pop();
    }
    walk(k + 1);
  };
  walk(0);
  const known = new Set<string>();
  const able: PlanScene[][] = [];
  for (let todo = full; todo.length > 0; ) {
    const smaller: PlanScene[][] = [];
    for (const set of todo) {
      const key = set.map((s) => s.index).join(' ');
      if (known.has(key)) continue;
      known.add(key);
      if (canComeAbout(problem, set)) able.push(set);
      else for (const left of set) smaller.push(set.filter((s) => s !== left));
    }
    todo = smaller;
  }
  return able;
}

/** What a run takes of a shared rule at every moment of it, at least; nothing where it pauses. */
function leastTaken(s: PlanScene, rule: number): number {
  const use = s.uses.find((u) => u.shared === rule);
  if (!use) return 0;
  const covered = use.from.reduce((sum, from, k) => sum + Math.min(use.to[k]!, s.lengthMs) - from, 0);
  return covered >= s.lengthMs ? Math.min(...use.amount) : 0;
}

/** Started in some order, each with its surge on what the ones before it take. The largest surplus goes first. */
function canComeAbout(problem: Problem, set: readonly PlanScene[]): boolean {
  return problem.shared.every((rule, r) => {
    if (rule.rule !== 'surge') return true;
    const takes = set.map((s) => {
      const first = s.uses.find((u) => u.shared === r)?.amount[0] ?? 0;
      const least = leastTaken(s, r);
      return { least, first: Math.max(first, least) };
    });
    takes.sort((a, b) => b.first - b.least - (a.first - a.least));
    let sum = 0;
    return takes.every(({ least, first }) => {
      const fits = sum + first <= rule.room;
      sum += least;
      return fits;
    });
  });
}
