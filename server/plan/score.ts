import { type PlanScene, type Problem, worthWanted } from './problem.ts';

/** What a plan is worth, in the order in which it counts. */
export interface Score {
  /** Least share of what is wanted, over its weight, of any scene that falls short; 1 where none does. */
  readonly level: number;
  /** Weighted runs, none beyond what is wanted. */
  readonly worth: number;
  /** Runs of scenes without weight, which count for nothing else. */
  readonly spare: number;
  /** Of all scenes together; see `unevenness`. */
  readonly uneven: number;
}

const HAIR = 1e-9;

/** Consecutive multiples of this, modulo 1, lie spread out however many there are. */
export const GOLDEN = 0.6180339887498949;

export function scoreOf(problem: Problem, starts: readonly (readonly number[])[]): Score {
  let level = 1;
  let worth = 0;
  let spare = 0;
  let uneven = 0;
  for (const scene of problem.scenes) {
    const had = Math.min(starts[scene.index]!.length, scene.wanted);
    level = Math.min(level, levelAt(scene, had));
    worth += scene.weight * had;
    if (scene.weight === 0) spare += had;
    if (scene.wanted > 0) uneven += unevenness(scene, starts[scene.index]!, scene.everyMs * (1 + scene.vary));
  }
  return { level, worth, spare, uneven };
}

/** The level that a scene with so many runs allows. */
export function levelAt(scene: PlanScene, had: number): number {
  return had >= scene.wanted || scene.weight === 0 ? 1 : Math.min(1, had / scene.wanted / scene.weight);
}

/** Above 0 where `a` is better, below where `b` is, 0 where neither is. */
export function better(a: Score, b: Score): number {
  if (Math.abs(a.level - b.level) > HAIR) return a.level - b.level;
  if (Math.abs(a.worth - b.worth) > HAIR) return a.worth - b.worth;
  if (a.spare !== b.spare) return a.spare - b.spare;
  return b.uneven - a.uneven;
}

/**
 * Σ e²·(1 + e) over a scene's gaps, e being what a gap has beyond the limit, in `every`s: 0 where no gap is longer,
 * and the longest gap weighs most. Open → first start and last start → latest possible are gaps too.
 */
export function unevenness(scene: PlanScene, starts: readonly number[], limitMs: number): number {
  let sum = 0;
  let from = 0;
  for (let k = 0; k <= starts.length; k++) {
    const to = k < starts.length ? starts[k]! : scene.lastMs;
    const beyond = (to - from - limitMs) / scene.everyMs;
    if (beyond > 0) sum += beyond * beyond * (1 + beyond);
    from = to;
  }
  return sum;
}

/** Weighted runs planned over weighted runs wanted; 1 where nothing is wanted. */
export function worthShare(problem: Problem, starts: readonly (readonly number[])[]): number {
  const aim = worthWanted(problem);
  return aim > 0 ? scoreOf(problem, starts).worth / aim : 1;
}

/** The longest gap that a scene's aim allows: `every` × (1 + `vary`). */
export function longestAllowedMs(scene: PlanScene): number {
  return scene.everyMs * (1 + scene.vary);
}

/** The longest stretch without a start; open → first start and last start → latest possible are gaps too. */
export function longestGap(scene: PlanScene, starts: readonly number[]): { from: number; to: number } {
  let best = { from: 0, to: Math.max(0, starts[0] ?? scene.lastMs) };
  for (let k = 0; k < starts.length; k++) {
    const to = starts[k + 1] ?? scene.lastMs;
    if (to - starts[k]! > best.to - best.from) best = { from: starts[k]!, to };
  }
  return best;
}

/** How long it is, ms. */
export function longestGapMs(scene: PlanScene, starts: readonly number[]): number {
  const { from, to } = longestGap(scene, starts);
  return to - from;
}
