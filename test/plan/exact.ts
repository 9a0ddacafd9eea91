import type { PlanScene, Problem } from '../../server/plan/problem.ts';
import { solverLoaded } from './solver.ts';

/**
 * The best level and then the best worth of a small problem, proved by HiGHS (highs.dev, MIT; the npm package
 * `highs`): a mixed-integer programme with one 0/1 variable for each scene and each start on the grid. Exact where
 * all lengths, rests, gaps and the night itself are multiples of the grid: any plan can then be shifted left onto it
 * without breaking a rule of circuits, zones, props, scenes and duty. Air only where the compressor runs whenever
 * the tank is not full (cut-in = cut-out), since only then the level is a linear matter.
 */
export interface Exact {
  readonly level: number;
  readonly worth: number;
  readonly counts: number[];
}

export async function exactBest(problem: Problem, gridMs: number, timeLimitS = 60): Promise<Exact | null> {
  const solver = await solverLoaded();
  const solve = (text: string, gap: number) => {
    const s = solver.solve(text, {
      output_flag: false,
      time_limit: timeLimitS,
      mip_rel_gap: 0,
      mip_abs_gap: gap,
    });
    return s.Status === 'Optimal' ? s : null;
  };
  const rules = rulesOf(problem, gridMs);
  const scenes = problem.scenes.filter((s) => s.wanted > 0 && !s.never);
  const all = scenes.flatMap((s) => slots(s, gridMs).map((k) => name(s, k)));
  const bounds = `Bounds\n0 <= t <= 1\nBinaries\n${all.join(' ')} ${scenes.map((s) => `f${s.index}`).join(' ')}\nEnd\n`;
  const level: string[] = [];
  for (const s of scenes)
    rules.push(
      `${slots(s, gridMs)
        .map((k) => name(s, k))
        .join(' + ')} <= ${s.wanted}`,
    );
  for (const s of scenes.filter((x) => x.weight > 0)) {
    const runs = slots(s, gridMs).map((k) => name(s, k));
    const share = s.weight * s.wanted;
    // At least min(1, t × weight) of what is wanted: all of it where f is 1, else t × weight of it.
    level.push(`${runs.join(' + ')} - ${s.wanted} f${s.index} >= 0`);
    level.push(`${runs.join(' + ')} - ${share} t + ${share} f${s.index} >= 0`);
  }
  const first = solve(`Maximize\n obj: t\nSubject To\n${[...rules, ...level].join('\n')}\n${bounds}`, 1e-4);
  if (!first) return null;
  const t = levelOf(scenes, countsOf(first, scenes, gridMs));
  const least = scenes.map((s) => {
    const owed = Math.ceil(Math.min(1, t * s.weight) * s.wanted - 1e-6);
    return `${slots(s, gridMs)
      .map((k) => name(s, k))
      .join(' + ')} >= ${owed}`;
  });
  const objective = scenes
    .flatMap((s) => slots(s, gridMs).map((k) => `${s.weight} ${name(s, k)}`))
    .join(' + ');
  const second = solve(
    `Maximize\n obj: ${objective}\nSubject To\n${[...rules, ...least].join('\n')}\n${bounds}`,
    0.01,
  );
  if (!second) return null;
  const counts = problem.scenes.map(() => 0);
  countsOf(second, scenes, gridMs).forEach((n, i) => {
    counts[scenes[i]!.index] = n;
  });
  const aim = problem.scenes.reduce((sum, s) => sum + s.weight * s.wanted, 0);
  const had = problem.scenes.reduce((sum, s) => sum + s.weight * counts[s.index]!, 0);
  return { level: t, worth: had / aim, counts };
}

/**
 * Whether HiGHS finds a plan on the grid with all that is wanted and no gap longer than `every` × (1 + `vary`); null
 * where it comes to no end in time. A plan off the grid might exist where it finds none.
 */
export async function evenPlanExists(
  problem: Problem,
  gridMs: number,
  timeLimitS = 20,
): Promise<boolean | null> {
  const solver = await solverLoaded();
  const rules = rulesOf(problem, gridMs);
  const scenes = problem.scenes.filter((s) => s.wanted > 0);
  for (const s of scenes) {
    const all = slots(s, gridMs);
    rules.push(`${all.map((k) => name(s, k)).join(' + ')} >= ${s.wanted}`);
    // From open, and from each moment on, the next start (or the latest possible) is at most so far away.
    const reach = Math.floor((s.everyMs * (1 + s.vary)) / gridMs);
    for (let k = 0; k + reach < all.length; k++) {
      const window = all.slice(k === 0 ? 0 : k, k + reach + (k === 0 ? 1 : 0));
      rules.push(`${window.map((j) => name(s, j)).join(' + ')} >= 1`);
    }
  }
  const binaries = scenes.flatMap((s) => slots(s, gridMs).map((k) => name(s, k)));
  const text = `Minimize\n obj: ${binaries[0]}\nSubject To\n${rules.join('\n')}\nBinaries\n${binaries.join(' ')}\nEnd\n`;
  const { Status } = solver.solve(text, { output_flag: false, time_limit: timeLimitS });
  if (Status === 'Optimal') return true;
  return Status === 'Infeasible' ? false : null;
}

function name(s: PlanScene, k: number): string {
  return `x${s.index}_${k}`;
}

function slots(s: PlanScene, gridMs: number): number[] {
  return Array.from({ length: Math.floor(s.lastMs / gridMs) + 1 }, (_, k) => k);
}

type Solution = { Columns: Record<string, unknown> };

function countsOf(solution: Solution, scenes: readonly PlanScene[], gridMs: number): number[] {
  const value = (id: string) => Math.round((solution.Columns[id] as { Primal: number }).Primal);
  return scenes.map((s) => slots(s, gridMs).reduce((sum, k) => sum + value(name(s, k)), 0));
}

function levelOf(scenes: readonly PlanScene[], counts: readonly number[]): number {
  return scenes.reduce((level, s, i) => {
    const had = counts[i]!;
    return had >= s.wanted || s.weight === 0 ? level : Math.min(level, had / s.wanted / s.weight);
  }, 1);
}

/** One line for each rule and each moment of the grid, in the LP format that HiGHS reads. */
function rulesOf(problem: Problem, gridMs: number): string[] {
  const lines: string[] = [];
  const onGrid = (ms: number) => {
    if (ms % gridMs !== 0) throw new Error(`${ms} ms is off the grid of ${gridMs} ms`);
    return ms / gridMs;
  };
  const horizon = Math.ceil((problem.windowMs * 2) / gridMs);
  const sum = (terms: Map<string, number>, op: string, room: number) => {
    if (terms.size > 0) lines.push(`${[...terms].map(([id, a]) => `${a} ${id}`).join(' + ')} ${op} ${room}`);
  };
  for (const s of problem.scenes) {
    const spacing = Math.ceil(s.spacingMs / gridMs);
    for (let k = 0; k <= onGrid(s.lastMs); k++) {
      const terms = new Map<string, number>();
      for (let j = Math.max(0, k - spacing + 1); j <= k; j++) terms.set(name(s, j), 1);
      if (terms.size > 1) sum(terms, '<=', 1);
    }
  }
  problem.shared.forEach((rule, index) => {
    for (let at = 0; at < horizon; at++) {
      const terms = new Map<string, number>();
      for (const s of problem.scenes)
        for (const use of s.uses.filter((u) => u.shared === index))
          use.from.forEach((from, p) => {
            // Pieces finer than the grid (a surge) count for the whole slot that they begin: they begin on it.
            const [a, b] = [Math.floor(from / gridMs), Math.ceil(use.to[p]! / gridMs)];
            for (let k = at - b + 1; k <= at - a; k++)
              if (k >= 0 && k <= s.lastMs / gridMs)
                terms.set(name(s, k), Math.max(terms.get(name(s, k)) ?? 0, use.amount[p]!));
          });
      const most = [...terms.values()].reduce((a, b) => a + b, 0);
      if (most > rule.room) sum(terms, '<=', rule.room);
    }
  });
  problem.duties.forEach((duty, index) => {
    const over = onGrid(duty.overMs);
    for (let at = -over; at < horizon; at++) {
      const terms = new Map<string, number>();
      for (const s of problem.scenes)
        for (const d of s.duties.filter((x) => x.duty === index))
          for (let k = 0; k <= s.lastMs / gridMs; k++) {
            let moving = 0;
            d.from.forEach((from, p) => {
              const [a, b] = [k + onGrid(from), k + onGrid(d.to[p]!)];
              moving += Math.max(0, Math.min(b, at + over) - Math.max(a, at)) * gridMs;
            });
            if (moving > 0) terms.set(name(s, k), moving);
          }
      sum(terms, '<=', duty.onMs);
    }
  });
  problem.tanks.forEach((tank, index) => {
    if (tank.cutInKpa !== tank.cutOutKpa)
      throw new Error('the compressor must run whenever the tank is not full');
    const perSlot = (tank.deliveryLpm * gridMs) / 60_000;
    const litres = (kpa: number) => (tank.volumeLitres * kpa) / 101.325;
    const room = litres(tank.cutOutKpa) - litres(tank.workingKpa);
    const drawnAt = (at: number) => {
      const terms = new Map<string, number>();
      for (const s of problem.scenes)
        for (const d of s.draws.filter((x) => x.tank === index))
          d.at.forEach((off, p) => {
            const k = at - onGrid(off);
            if (k >= 0 && k <= s.lastMs / gridMs)
              terms.set(name(s, k), (terms.get(name(s, k)) ?? 0) + d.litres[p]!);
          });
      return terms;
    };
    // Whatever was drawn in any stretch is at most what the tank held plus what came in meanwhile.
    for (let at = 0; at < horizon; at++) {
      const left = `a${index}_${at}`;
      const terms = [...drawnAt(at)].map(([id, a]) => `${a} ${id}`).join(' + ');
      const before = at === 0 ? `${room}` : `a${index}_${at - 1}`;
      if (at === 0) lines.push(`${left}${terms ? ` + ${terms}` : ''} <= ${before}`);
      else lines.push(`${left}${terms ? ` + ${terms}` : ''} - ${before} <= ${perSlot}`);
      lines.push(`${left}${terms ? ` + ${terms}` : ''} <= ${room}`);
    }
  });
  return lines;
}
