import { type PlanScene, type Problem, sizeOf, takenBy } from './problem.ts';
import type { Meter } from './profile.ts';
import { Schedule } from './schedule.ts';

/**
 * A few runs packed close together: nothing else need go on before or after it. Where runs must rest, or a zone keep its
 * gap, it can't play again at once; then it is laid a little later than its length says.
 */
export interface Block {
  /** In order of their starts, ms from the block's own beginning. */
  readonly runs: readonly BlockRun[];
  /** From its beginning to the end of its last run; not 0. */
  readonly ms: number;
}

export interface BlockRun {
  readonly scene: number;
  readonly at: number;
}

/** Who goes first in a block, of those that have room. */
interface Way {
  /** No run ends later. */
  readonly spanMs: number;
  /** How much large draws are preferred, which only have room while little else goes on. */
  readonly large: number;
  /** How much long runs are preferred. */
  readonly long: number;
  /** How much chance has to say. */
  readonly noise: number;
}

/** How much the worth of a run for what it takes counts, beside its size and length. */
const WORTH = 0.7;

/** A run counts as taking at least this share of all that there is, so that what takes next to nothing is not all. */
const LEAST = 0.05;

/** Blocks grow to so many mean runs: longer ones lose less at their ends, and are less evenly spread over the night. */
const LONGEST = 4;

/** Packs blocks of some scenes. */
export class Packer {
  private readonly problem: Problem;
  private readonly scenes: readonly PlanScene[];
  private readonly chance: () => number;
  private readonly meter: Meter;
  private readonly meanMs: number;
  /** By place in `scenes`: the largest share of a rule that a run takes, and what it takes of it in ms of all of it. */
  private readonly sizes: readonly number[];
  private readonly takesMs: readonly number[];

  constructor(problem: Problem, scenes: readonly PlanScene[], chance: () => number, meter: Meter) {
    this.problem = problem;
    this.scenes = scenes;
    this.chance = chance;
    this.meter = meter;
    this.meanMs = scenes.reduce((sum, s) => sum + s.spacingMs, 0) / scenes.length;
    this.sizes = scenes.map((s) => sizeOf(problem, s));
    this.takesMs = scenes.map((s) => takenMs(problem, s));
  }

  /** A new block, one to three runs long. @param worth by scene, what a run of it is worth */
  pack(worth: readonly number[]): Block {
    const { chance } = this;
    const long = chance();
    let spanMs = this.someMs();
    if (long > 0.3) spanMs += this.someMs();
    if (long > 0.8) spanMs += this.someMs();
    spanMs = Math.min(spanMs, LONGEST * this.meanMs);
    return this.packed(worth, { spanMs, ...this.taste(3 * chance()) }, []);
  }

  /** A block with a part of it, of some minutes, packed anew by what runs are worth. */
  repack(worth: readonly number[], block: Block): Block {
    const { chance } = this;
    const from = chance() * block.ms;
    const to = from + (0.2 + 0.6 * chance()) * block.ms;
    const kept = block.runs.filter(({ scene, at }) => {
      if (at >= to || at + this.problem.scenes[scene]!.lengthMs <= from) return true;
      return at < from && chance() < 0.3;
    });
    const spanMs =
      chance() < 0.4 ? block.ms : Math.min(LONGEST * this.meanMs, block.ms * (0.9 + 0.6 * chance()));
    return this.packed(worth, { spanMs, ...this.taste(chance()) }, kept);
  }

  private someMs(): number {
    return this.scenes[Math.floor(this.chance() * this.scenes.length)]!.spacingMs;
  }

  private taste(noise: number): Omit<Way, 'spanMs'> {
    return { noise, large: 4 * this.chance(), long: 2 * this.chance() - 0.5 };
  }

  private packed(worth: readonly number[], way: Way, kept: readonly BlockRun[]): Block {
    const { scenes } = this;
    const schedule = new Schedule(this.problem);
    const runs: BlockRun[] = [];
    const put = (s: PlanScene, at: number) => {
      schedule.add(s, at);
      runs.push({ scene: s.index, at });
    };
    for (const { scene, at } of kept) {
      const s = this.problem.scenes[scene]!;
      if (at + s.lengthMs <= way.spanMs && schedule.fits(s, at)) put(s, at);
    }
    const order = this.orderOf(worth, way);
    const next = scenes.map(() => 0);
    for (let t = 0; t < Infinity; t = next.reduce((a, b) => Math.min(a, b), Infinity))
      for (const k of order) {
        if (next[k]! > t) continue;
        const s = scenes[k]!;
        next[k] = schedule.earliest(s, t, way.spanMs - s.lengthMs);
        if (next[k]! > t) continue;
        put(s, t);
        next[k] = t + Math.max(1, s.spacingMs);
      }
    this.meter.work += schedule.work;
    runs.sort((a, b) => a.at - b.at);
    const ms = runs.reduce((end, r) => Math.max(end, r.at + this.problem.scenes[r.scene]!.lengthMs), 1);
    return { runs, ms };
  }

  /** Places in `scenes`, who goes first before the others. */
  private orderOf(worth: readonly number[], { large, long, noise }: Way): number[] {
    const keys = this.scenes.map((s, k) => {
      const chance = this.chance() + this.chance() - 1;
      const rate = Math.log(Math.max(worth[s.index]!, Number.MIN_VALUE) / this.takesMs[k]!);
      return WORTH * rate + large * this.sizes[k]! + (long * s.spacingMs) / this.meanMs + noise * chance;
    });
    return [...keys.keys()].sort((a, b) => keys[b]! - keys[a]! || a - b);
  }
}

/** What a run takes of the rule of which it takes most, in ms of the whole of it. */
function takenMs(problem: Problem, s: PlanScene): number {
  let most = LEAST * s.spacingMs;
  for (const use of s.uses) {
    most = Math.max(most, takenBy(use) / problem.shared[use.shared]!.room);
  }
  return most;
}
