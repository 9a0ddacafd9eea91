import type { BlockRun } from './blocks.ts';
import type { Division, Mix } from './mix.ts';
import type { Schedule } from './schedule.ts';

/** How much a block's own turn counts against what its scenes are behind. */
const TURN = 0.5;

/** So many runs looked at cost as much as to ask a rule. */
const LOOKS = 16;

/** How far runs may be drawn forward against what was laid before, in lengths of their block. */
const DRAWN = 0.25;

/** So many lengths of a run behind the one drawn before it there may be a hole for it. */
const HOLES = 4;

/**
 * Lays the blocks of a mix one after the other, each as soon as all of it fits, and then draws its runs forward into what
 * room the ones before have left. Whose turn it is: the block whose scenes are most behind, so that each is spread over
 * the night.
 * @returns when the last run ended, ms from open
 */
export function lay(schedule: Schedule, mix: Mix, chance: () => number): number {
  const { scenes } = schedule.problem;
  let at = 0;
  let endMs = 0;
  const before = scenes.map(() => 0);
  for (const division of mix.stretches) {
    const turns = new Turns(schedule, division, mix.runs, before, chance);
    for (let next = turns.next(); next; next = turns.next()) {
      const put = putAll(schedule, next.runs, at);
      if (put.runs.length === 0) continue;
      for (const run of put.runs) {
        const t = drawnForward(schedule, run, DRAWN * next.ms);
        endMs = Math.max(endMs, t + scenes[run.scene]!.lengthMs);
      }
      at = Math.floor(put.at + next.ms / 2);
    }
    turns.share.forEach((x, i) => {
      before[i]! += x;
    });
  }
  return endMs;
}

/** Which block of a stretch comes next, and which of its runs. */
class Turns {
  /** By scene, the runs of this stretch. */
  readonly share: readonly number[];
  private readonly schedule: Schedule;
  private readonly division: Division;
  /** By scene, the runs due before this stretch. */
  private readonly before: readonly number[];
  /** By scene, what the blocks hold of it: more than its share where it has all that it can have. */
  private readonly held: readonly number[];
  private readonly lags: readonly number[];
  private readonly used: number[];
  private readonly spanMs: number;
  /** Runs of all blocks played. */
  private readonly size: number;
  private passedMs = 0;

  constructor(
    schedule: Schedule,
    division: Division,
    runs: readonly number[],
    before: readonly number[],
    chance: () => number,
  ) {
    const held = runs.map(() => 0);
    for (const { block, times } of division.played) for (const { scene } of block.runs) held[scene]! += times;
    this.schedule = schedule;
    this.division = division;
    this.before = [...before];
    this.held = held;
    this.share = runs.map((x, i) => Math.min(held[i]!, Math.max(0, x - before[i]!)));
    this.lags = division.played.map(() => chance() - 0.5);
    this.used = division.played.map(() => 0);
    this.size = division.played.reduce((sum, { block }) => sum + block.runs.length, 0);
    this.spanMs = division.played.reduce((sum, { block, times }) => sum + times * block.ms, 0);
  }

  next(): { readonly runs: readonly BlockRun[]; readonly ms: number } | null {
    const { played } = this.division;
    if (this.passedMs >= this.spanMs) return null;
    let best = 0;
    let most = -Infinity;
    for (let b = 0; b < played.length; b++) {
      const score = this.behind(b);
      if (score <= most) continue;
      most = score;
      best = b;
    }
    const { block } = played[best]!;
    this.schedule.work += this.size / LOOKS;
    const by = this.by(block.ms);
    this.used[best]! += 1;
    this.passedMs += block.ms;
    const runs = block.runs.filter(
      ({ scene: i }) => this.held[i]! <= this.share[i]! + 0.01 || this.late(i, by) >= 0.5,
    );
    return { runs, ms: block.ms };
  }

  /** How much a block's turn it is. */
  private behind(b: number): number {
    const { block, times } = this.division.played[b]!;
    const by = this.by(block.ms);
    let lateMs = 0;
    for (const { scene } of block.runs) lateMs += this.division.worthMs[scene]! * this.late(scene, by);
    return TURN * (times * by - this.used[b]! + this.lags[b]!) + lateMs / block.ms;
  }

  /** What share of the stretch is over once a block of so many ms has been laid. */
  private by(ms: number): number {
    return Math.min(1, (this.passedMs + ms) / this.spanMs);
  }

  /** How many runs a scene lacks by then. */
  private late(scene: number, by: number): number {
    return this.before[scene]! + this.share[scene]! * by - this.schedule.starts[scene]!.length;
  }
}

/** Puts runs in where all of them fit first from `from` on, but for those that no waiting helps. */
function putAll(
  schedule: Schedule,
  runs: readonly BlockRun[],
  from: number,
): { runs: BlockRun[]; at: number } {
  const { scenes } = schedule.problem;
  for (let shift = from; ; ) {
    const put: BlockRun[] = [];
    let byMs = 0;
    for (const { scene, at } of runs) {
      const t = schedule.earliest(scenes[scene]!, shift + at, Infinity);
      if (t === Infinity) continue;
      byMs = t - shift - at;
      if (byMs > 0) break;
      schedule.add(scenes[scene]!, t);
      put.push({ scene, at: t });
    }
    if (byMs === 0) return { runs: put, at: shift };
    // What was added last can be taken back: all was well without it.
    for (const run of put.reverse()) schedule.remove(scenes[run.scene]!, run.at);
    shift += byMs;
  }
}

/** Draws a run forward by up to so much; gives back when it starts. */
function drawnForward(schedule: Schedule, { scene, at }: BlockRun, byMs: number): number {
  const s = schedule.problem.scenes[scene]!;
  if (!schedule.remove(s, at)) return at;
  const t = Math.min(at, schedule.earliest(s, at - byMs, at));
  schedule.add(s, t);
  return t;
}

/**
 * Draws all runs towards close, the last first, and then towards open, the first first: each leaves room for the next,
 * and the whole is over sooner. In project scheduling this is known as justification (Li and Willis 1992, from memory).
 */
export function justify(schedule: Schedule): void {
  const { scenes, windowMs } = schedule.problem;
  const runs = scenes.flatMap((s) => schedule.starts[s.index]!.map((at) => ({ s, at })));
  runs.sort((a, b) => b.at + b.s.lengthMs - a.at - a.s.lengthMs || a.s.index - b.s.index);
  let near = windowMs;
  for (const run of runs) {
    const { s, at } = run;
    if (schedule.remove(s, at)) {
      run.at = Math.max(at, schedule.latest(s, at, Math.min(s.lastMs, near + HOLES * s.lengthMs)));
      schedule.add(s, run.at);
    }
    near = run.at;
  }
  runs.sort((a, b) => a.at - b.at || a.s.index - b.s.index);
  near = 0;
  for (const { s, at } of runs) {
    near -= HOLES * s.lengthMs;
    if (schedule.remove(s, at)) {
      near = Math.min(at, schedule.earliest(s, near, at));
      schedule.add(s, near);
    } else near = at;
  }
}
