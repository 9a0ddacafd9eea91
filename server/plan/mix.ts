import { type Block, Packer } from './blocks.ts';
import type { Limits } from './bound.ts';
import type { PlanScene, Problem } from './problem.ts';
import { early, programmeOf } from './programme.ts';
import { Schedule } from './schedule.ts';
import { packed } from './simplex.ts';

/** How the night is divided among blocks, and how many runs of each scene that makes, fractions allowed. */
export interface Mix {
  /** The night until the loud scenes must be silent, and after. */
  readonly stretches: readonly Division[];
  readonly runs: readonly number[];
}

/** A stretch of the night, divided. */
export interface Division {
  readonly played: readonly { readonly block: Block; readonly times: number }[];
  /** By scene, for how much of the night a run of it is worth giving, ms. */
  readonly worthMs: readonly number[];
}

interface Stretch {
  readonly ms: number;
  readonly packer: Packer;
  blocks: readonly Block[];
  /** Those of them that are played, as the night was last divided. */
  played: ReadonlySet<Block>;
  /** What a run of each scene is worth, and a ms, as the night was last divided. */
  worth: readonly number[];
  rent: number;
}

/** New blocks a round, and of them so many made from one that is played. */
const ROUND = 100;
const REPACKED = 0.7;

/** Rounds at most; after fewer than the least the division is worth nothing yet. */
const ROUNDS = 60;
const FEW = 5;

/** What it costs to pack a block, in rules asked, over the square of the number of scenes: about. */
const PACKING = 0.5;

/** Of more blocks than this the worst are forgotten. */
const KEPT = 50;

/** Steps of the simplex method, in numbers of the tableau changed, that cost as much as to ask a rule. */
const STEP = 200;

/** Time that is worth no more than this share of all runs together is free: what is left are the last bits of a sum. */
const FREE = 1e-6;

/** The level is settled to within this share of it, by so many divisions at most, from so many times the last on. */
const UNSETTLED = 0.001;
const DIVISIONS = 10;
const HIGHER = 1.2;

/** The secant is trusted no further than this slope. */
const LEAST_SLOPE = 0.2;

/** How much of what would be even a scene is given before and after the loud ones must be silent, where that is asked. */
const SPREAD = 0.7;

/** A block must be worth so much more than its time. */
const GAIN = 1e-6;

/**
 * Finds blocks, and divides the night among them: the greatest level, then the greatest worth. Sums over the night
 * (amperes × hours) can't see that 3 A and 3 A don't fit in 5 A, nor that a motor which starts with most of the breaker
 * wants all else to pause; blocks can. It is what cutting stock is to filling it by weight, and new blocks are found as
 * new cuts are (Gilmore and Gomory 1961): by what one run more of each scene is worth as things stand.
 */
export class Mixer {
  /** Work done, in rules asked. */
  work = 0;
  private readonly problem: Problem;
  private readonly limits: Limits;
  private readonly chance: () => number;
  private able: readonly PlanScene[];
  private readonly stretches: readonly Stretch[];
  /** The level up to which heavy scenes are owed more than the others; see `owedAt`. */
  private aim = 1;

  /** @param limits whole runs in `most` */
  constructor(problem: Problem, limits: Limits, chance: () => number) {
    this.problem = problem;
    this.limits = limits;
    this.chance = chance;
    this.able = problem.scenes.filter((s) => s.wanted > 0 && limits.most[s.index]! >= 1);
    const quietMs = silentFrom(problem, this.able);
    this.stretches = [
      { ms: quietMs, scenes: this.able },
      { ms: problem.windowMs - quietMs, scenes: this.able.filter((s) => !early(s)) },
    ]
      .filter(({ ms, scenes }) => ms > 0 && scenes.length > 0)
      .map(({ ms, scenes }) => ({
        ms,
        packer: new Packer(problem, scenes, chance, this),
        blocks: alone(problem, scenes),
        played: new Set<Block>(),
        worth: [],
        rent: 0,
      }));
  }

  /** Looks for blocks by so much work, and divides the night among the best; null where that is too little work. */
  search(work: number): Mix | null {
    if (this.able.every((s) => s.weight === 0) || FEW * this.roundWork() > work) return null;
    const even = this.problem.scenes.map(() => 1);
    let mix = this.divide(even, 1);
    for (let k = 0; k < ROUNDS && this.work < work; k++) {
      if (this.stretches.every((stretch) => stretch.rent === 0)) break;
      mix = this.round(even, 1);
      // What no block has is left to others to place, and must not hold the level at nothing.
      if (k === FEW && this.dropUnseen()) mix = this.divide(even, 1);
    }
    return mix;
  }

  /** What a round costs, about, in rules asked. */
  private roundWork(): number {
    const n = this.able.length;
    const rows = 2 * n + this.limits.rows.length;
    return (rows * (2 * n + 2 * KEPT) * (rows + n)) / STEP + PACKING * ROUND * n * n;
  }

  /** Leaves out scenes that are in no block; whether there were any. */
  private dropUnseen(): boolean {
    const seen = new Set(
      this.stretches.flatMap(({ blocks }) => blocks.flatMap((b) => b.runs.map((r) => r.scene))),
    );
    const all = this.able.length;
    this.able = this.able.filter((s) => seen.has(s.index));
    return this.able.length < all;
  }

  /**
   * One round of new blocks, and the night divided anew.
   * @param slow by scene, how many times as long as it is a run is reckoned
   * @param room how many times as long as it is the night is reckoned
   */
  round(slow: readonly number[], room: number): Mix {
    for (const stretch of this.stretches) {
      const { worth, rent, packer } = stretch;
      if (rent === 0) continue;
      const gain = (block: Block) =>
        block.runs.reduce((sum, r) => sum + worth[r.scene]!, 0) / block.ms - rent;
      const kept = KEPT + this.able.length;
      if (stretch.blocks.length > 1.5 * kept) stretch.blocks = best(stretch, gain, kept);
      const bases = stretch.blocks.filter((block) => stretch.played.has(block));
      const found: Block[] = [];
      for (let k = 0; k < ROUND; k++) {
        const base = bases[Math.floor(this.chance() * bases.length)];
        const block = base && this.chance() < REPACKED ? packer.repack(worth, base) : packer.pack(worth);
        if (block.runs.length > 0 && gain(block) > GAIN * rent) found.push(block);
      }
      stretch.blocks = [...stretch.blocks, ...found];
    }
    return this.divide(slow, room);
  }

  /** There are loud scenes, and a time after them. */
  get silence(): boolean {
    return this.stretches.length > 1;
  }

  /** The night divided so that scenes which may play after the loud ones do not wait for that, nor stop then. */
  spread(slow: readonly number[], room: number): Mix {
    return this.divide(slow, room, SPREAD);
  }

  private divide(slow: readonly number[], room: number, spread = 0): Mix {
    const { scenes, windowMs } = this.problem;
    const { x, prices } = this.solved(slow, room, spread);
    const level = x[scenes.length]!;
    let first = scenes.length + 1;
    const stretches = this.stretches.map((stretch, h): Division => {
      const { ms, blocks } = stretch;
      const worth = scenes.map(() => 0);
      this.able.forEach((s, k) => {
        worth[s.index] = (prices[this.stretches.length + k]! * s.spacingMs * ms) / windowMs;
      });
      // What a spread costs is in no price of these, so that blocks are not found by it.
      if (spread === 0) {
        stretch.worth = worth;
        stretch.rent = prices[h]! < FREE ? 0 : prices[h]!;
        stretch.played = new Set(blocks.filter((_, k) => x[first + k]! > 0));
      }
      const times = blocks.map((block, k) => (ms * x[first + k]!) / block.ms);
      first += blocks.length;
      return {
        played: blocks.map((block, k) => ({ block, times: times[k]! })).filter((p) => p.times > 0.01),
        // Where there is time enough, none is dear: then runs are worth what they last.
        worthMs: worth.map((x, i) =>
          stretch.rent > 0 ? Math.min(x / stretch.rent, windowMs) : scenes[i]!.spacingMs,
        ),
      };
    });
    const runs = scenes.map(() => 0);
    for (const s of this.able) runs[s.index] = s.wanted * (x[s.index]! + level * this.owedAt(s));
    return { stretches, runs };
  }

  /**
   * A scene is owed min(1, level × weight) of what it wants, which no linear programme can say. Up to a level aimed at
   * the straight line to it serves. The lower the aim, the more heavy scenes are owed for each unit of the level and the
   * lower the level reached; where both agree is found by the secant.
   */
  private solved(slow: readonly number[], room: number, spread: number): ReturnType<typeof packed> {
    let before: { aim: number; over: number } | null = null;
    this.aim = Math.min(1, HIGHER * this.aim);
    for (let k = 1; ; k++) {
      const packing = programmeOf({
        problem: this.problem,
        limits: this.limits,
        able: this.able,
        stretches: this.stretches,
        owedAt: (s) => this.owedAt(s),
        slow,
        room,
        spread,
      });
      const found = packed(packing);
      this.work += (found.steps * packing.rows.length * packing.worth.length) / STEP;
      const level = found.x[this.problem.scenes.length]!;
      const { aim } = this;
      const over = aim - level;
      const settled = over <= UNSETTLED * aim;
      if (k === DIVISIONS || level <= 0) return found;
      if (settled && before === null && aim < 1) {
        // All that was aimed at is reached: the aim was too low for what is known now.
        this.aim = Math.min(1, 2 * aim);
        continue;
      }
      if (settled || this.able.every((s) => s.weight * aim <= 1)) return found;
      const slope = before === null ? 1 : (before.over - over) / (before.aim - aim);
      this.aim = aim - over / Math.min(1, Math.max(LEAST_SLOPE, slope));
      if (this.aim <= 0) this.aim = level;
      before = { aim, over };
    }
  }

  /** What a scene is owed for each unit of the level, up to what is aimed at. */
  private owedAt(s: PlanScene): number {
    return Math.min(1, this.aim * s.weight) / this.aim;
  }
}

/** A block of one run for each scene that can run without another, as long as it is from there to its own next. */
function alone(problem: Problem, scenes: readonly PlanScene[]): Block[] {
  return scenes
    .filter((s) => new Schedule(problem).fits(s, 0))
    .map((s) => ({ runs: [{ scene: s.index, at: 0 }], ms: Math.max(1, s.spacingMs) }));
}

/** The best blocks, as many as are kept, those that are played before all; first found, first served. */
function best({ blocks, played }: Stretch, gain: (block: Block) => number, kept: number): Block[] {
  const keyed = blocks.map((block, k) => ({ block, key: played.has(block) ? Infinity : gain(block), k }));
  keyed.sort((a, b) => (a.key === b.key ? a.k - b.k : b.key - a.key));
  return keyed.slice(0, kept).map(({ block }) => block);
}

/** When the last loud scene must have ended; the night's end where none need be. */
function silentFrom(problem: Problem, scenes: readonly PlanScene[]): number {
  const loud = scenes.filter(early);
  if (loud.length === 0) return problem.windowMs;
  return Math.min(problem.windowMs, Math.max(...loud.map((s) => s.lastMs + s.lengthMs)));
}
