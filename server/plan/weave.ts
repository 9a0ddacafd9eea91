import type { Limits } from './bound.ts';
import { justify, lay } from './lay.ts';
import { type Mix, Mixer } from './mix.ts';
import { fillUp } from './place.ts';
import type { Problem } from './problem.ts';
import { Schedule, scheduleOf } from './schedule.ts';
import { better, type Score, scoreOf } from './score.ts';

/** How much of a night is laid at least and at most: runs drawn forward leave room for more. */
const ROOM = [0.9, 1.15] as const;

/** Rules asked in a block cost so much of those asked in a night. */
const BLOCK_WORK = 0.6;

/**
 * Divides the night among blocks and lays them, again and again: a scene that got less than its share is reckoned slower
 * in the next laying, and a night that was over early longer. Where a block can't be played as it was packed (a duty over
 * hours, air that takes time, another scene's prop that is away) runs are left out, and searches do better; where a rest
 * or a zone's gap falls between two blocks, they are laid further apart.
 */
export class Weaver {
  private readonly problem: Problem;
  private readonly chance: () => number;
  private readonly mixer: Mixer;
  private mix: Mix | null = null;
  private slow: number[];
  private room = 1;
  private best: Score | null = null;
  /** Layings so far. */
  private turn = 0;
  /** Work done by laying. */
  private laid = 0;

  constructor(problem: Problem, limits: Limits, chance: () => number) {
    this.problem = problem;
    this.chance = chance;
    this.mixer = new Mixer(problem, limits, chance);
    this.slow = problem.scenes.map(() => 1);
  }

  /** Work done. */
  get spent(): number {
    return BLOCK_WORK * this.mixer.work + this.laid;
  }

  /** Looks for blocks by so much work; false where that is too little. */
  begin(work: number): boolean {
    this.mix = this.mixer.search(work / BLOCK_WORK);
    return this.mix !== null;
  }

  /** The starts by scene of one laying more; of one better than all before it also those of it drawn together. */
  again(): number[][][] {
    // What is best for the level may leave a scene to the time after the loud ones, or before: every other time it may not.
    this.turn += 1;
    const even = this.mixer.silence && this.turn % 2 === 0;
    const mix =
      this.mix ?? (even ? this.mixer.spread(this.slow, this.room) : this.mixer.round(this.slow, this.room));
    this.mix = null;
    const schedule = new Schedule(this.problem);
    const endMs = lay(schedule, mix, this.chance);
    this.learn(mix, schedule, endMs);
    fillUp(schedule);
    this.laid += schedule.work;
    const score = scoreOf(this.problem, schedule.starts);
    if (this.best !== null && better(score, this.best) <= 0) return [schedule.starts];
    this.best = score;
    const drawn = scheduleOf(this.problem, schedule.starts);
    justify(drawn);
    fillUp(drawn);
    this.laid += drawn.work;
    return [schedule.starts, drawn.starts];
  }

  /** The night was over early, or did not hold what it should: the next is reckoned accordingly. */
  private learn(mix: Mix, { starts }: Schedule, endMs: number): void {
    const { scenes, windowMs } = this.problem;
    const busy = (runs: (i: number) => number) =>
      scenes.reduce((sum, s, i) => sum + s.spacingMs * runs(i), 0);
    const got =
      busy((i) => starts[i]!.length) /
      Math.max(
        1,
        busy((i) => mix.runs[i]!),
      );
    const room = (this.room * got * windowMs) / Math.max(1, endMs);
    this.room = Math.min(ROOM[1], Math.max(ROOM[0], room));
    this.slow = slower(this.slow, mix.runs, starts);
  }
}

/** Reckons scenes that got less than their share slower, and the others faster. */
function slower(slow: readonly number[], due: readonly number[], starts: readonly number[][]): number[] {
  const ratio = due.map((x, i) => Math.max(x, 1) / Math.max(starts[i]!.length, 1));
  const mean = ratio.reduce((sum, r) => sum + r, 0) / ratio.length;
  return slow.map((x, i) => x * (ratio[i]! / mean) ** 0.7);
}
