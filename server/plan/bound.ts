import { freeLitres, HAIR_LITRES } from '../yard/air.ts';
import type { Tank } from '../yard/types.ts';
import { DutyBook } from './duty.ts';
import { type PlanScene, type Problem, takenBy, worthWanted } from './problem.ts';
import { levelAt } from './score.ts';
import { packed } from './simplex.ts';
import type { BindingRule } from './tonight.ts';

const HAIR = 1e-9;

/** What all runs of the night take together of one rule, and how much there is: Σ takes × runs ≤ room. */
export interface Row {
  readonly rule: BindingRule;
  readonly id: string;
  readonly takes: readonly (readonly [scene: number, amount: number])[];
  readonly room: number;
}

/** What no plan can exceed, by sums over the whole night. */
export interface Limits {
  readonly rows: readonly Row[];
  /** Most runs of each scene by its own rules, fractions allowed: its aim, its hold and rest. */
  readonly most: readonly number[];
}

/**
 * The rows: each circuit's ampere-seconds, each zone's seconds (a run's gap may reach past close, so
 * at-most × (W + gap)), each prop's hold and rest (W + rest), each duty (on × (W + over)), each tank's litres: what it
 * holds above working and what its compressor delivers. Rules that a single scene touches become its `most`.
 */
export function limitsOf(problem: Problem): Limits {
  const { windowMs, scenes } = problem;
  const shared = problem.shared.map(({ rule, id, room, tailMs }) =>
    emptyRow(rule, id, room * (windowMs + tailMs)),
  );
  const duties = problem.duties.map(({ prop, onMs, overMs }) =>
    emptyRow('duty', prop, (onMs / overMs) * (windowMs + overMs)),
  );
  const tanks = problem.tanks.map((tank) => {
    return emptyRow('tank', tank.id, heldLitres(tank) + (tank.deliveryLpm * windowMs) / 60_000);
  });
  const most = scenes.map((s) => mostAlone(problem, s));
  const take = (row: OpenRow, scene: PlanScene, amount: number) => {
    if (amount <= 0) return;
    row.takes.push([scene.index, amount]);
    most[scene.index] = Math.min(most[scene.index]!, Math.max(0, row.room) / amount);
  };
  for (const s of scenes) {
    for (const u of s.uses) take(shared[u.shared]!, s, takenBy(u));
    for (const d of s.duties)
      take(
        duties[d.duty]!,
        s,
        sumOver(d.to, (to, k) => to - d.from[k]!),
      );
    for (const d of s.draws)
      take(
        tanks[d.tank]!,
        s,
        sumOver(d.litres, (x) => x),
      );
  }
  // A row without room has set the `most` of all its scenes to nothing.
  const rows = [...shared, ...duties, ...tanks].filter((row) => row.takes.length > 1 && row.room > 0);
  return { rows, most };
}

type OpenRow = Omit<Row, 'takes'> & { readonly takes: [scene: number, amount: number][] };

function emptyRow(rule: BindingRule, id: string, room: number): OpenRow {
  return { rule, id, room, takes: [] };
}

function sumOver(list: readonly number[], amount: (x: number, k: number) => number): number {
  return list.reduce((sum, x, k) => sum + amount(x, k), 0);
}

/** What a full tank holds above its working pressure, litres of free air. */
function heldLitres(tank: Tank): number {
  return freeLitres(tank, tank.cutOutKpa) - freeLitres(tank, tank.workingKpa);
}

/** Runs that a scene could have by its aim, its hold and its rest; none where a single run breaks a rule. */
function mostAlone(problem: Problem, scene: PlanScene): number {
  if (scene.never || scene.lastMs < 0) return 0;
  for (const use of scene.uses) if (use.amount.some((a) => a > problem.shared[use.shared]!.room)) return 0;
  for (const { tank, litres } of scene.draws) {
    const held = heldLitres(problem.tanks[tank]!);
    if (litres.some((x) => x > held + HAIR_LITRES)) return 0;
  }
  for (const { duty, from, to } of scene.duties) {
    const { onMs, overMs } = problem.duties[duty]!;
    if (new DutyBook(onMs, overMs, { work: 0 }).shift(0, from, to, 1) > 0) return 0;
  }
  const restMs = scene.spacingMs - scene.lengthMs;
  return Math.min(scene.wanted, (problem.windowMs + restMs) / scene.spacingMs);
}

/** Whether so many runs of each scene stay within every sum. */
export function within(limits: Limits, counts: readonly number[]): boolean {
  return (
    counts.every((c, i) => c <= limits.most[i]! * (1 + HAIR)) &&
    limits.rows.every(
      (row) => row.takes.reduce((sum, [i, a]) => sum + a * counts[i]!, 0) <= row.room * (1 + HAIR),
    )
  );
}

/** What a scene is owed at a level: min(1, level × weight) of what it wants. */
export function owed(scene: PlanScene, level: number): number {
  return Math.min(1, level * scene.weight) * scene.wanted;
}

/** What a scene is owed at a level, in whole runs. */
export function owedWhole(scene: PlanScene, level: number): number {
  return Math.ceil(owed(scene, level) - 1e-6);
}

/** The lowest level above the given one at which some scene is owed a run more. */
export function nextLevel(problem: Problem, level: number): number {
  let next = 1;
  for (const s of problem.scenes) {
    if (s.weight === 0) continue;
    const owedNow = Math.floor(owed(s, level) + 1e-6);
    if (owedNow < s.wanted) next = Math.min(next, levelAt(s, owedNow + 1));
  }
  return next;
}

/** The greatest level, at most 1, at which what every scene is owed, by `count`, stays within the limits. */
export function greatestLevel(
  problem: Problem,
  limits: Limits,
  count: (scene: PlanScene, level: number) => number = owed,
): number {
  const fits = (level: number) =>
    within(
      limits,
      problem.scenes.map((s) => count(s, level)),
    );
  if (fits(1)) return 1;
  let [low, high] = [0, 1];
  // 2⁻⁵² of 1 is the last bit.
  for (let k = 0; k < 52; k++) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** The counts of greatest worth, fractions allowed, that are not below `least`. */
export function bestCounts(problem: Problem, limits: Limits, least: readonly number[]): number[] {
  const rest = limits.rows.map((row) => ({
    takes: row.takes,
    room: Math.max(HAIR * row.room, row.room - row.takes.reduce((sum, [i, a]) => sum + a * least[i]!, 0)),
  }));
  const { x: more } = packed({
    worth: problem.scenes.map((s) => s.weight),
    most: problem.scenes.map((s) => Math.max(0, limits.most[s.index]! - least[s.index]!)),
    rows: rest.filter((row) => row.room > 0),
  });
  return more.map((x, i) => x + least[i]!);
}

/** The greatest worth that stays within the limits, in weighted runs. */
export function greatestWorth(problem: Problem, limits: Limits): number {
  const best = bestCounts(
    problem,
    limits,
    problem.scenes.map(() => 0),
  );
  return problem.scenes.reduce((sum, s) => sum + s.weight * best[s.index]!, 0);
}

/** Level and worth that no plan can exceed. */
export function boundOf(problem: Problem, limits: Limits): { level: number; worth: number } {
  const aim = worthWanted(problem);
  return {
    level: upTo9(greatestLevel(problem, limits)),
    worth: aim > 0 ? Math.min(1, upTo9(greatestWorth(problem, limits) / aim)) : 1,
  };
}

/** Rounded up to nine decimals: what the last bits of a sum say is no bound. */
function upTo9(x: number): number {
  return Math.max(0, Math.min(1, Math.ceil(x * 1e9 - 1e-3) / 1e9));
}
