import { firstAfter } from './duty.ts';
import type { Mix } from './patterns.ts';
import { type PlanScene, sizeOf } from './problem.ts';
import { Queue } from './queue.ts';
import type { Schedule } from './schedule.ts';
import { GOLDEN } from './score.ts';

/** For how many of its scenes' mean lengths a pattern plays at least, so that it loses little at its ends. */
const BLOCK = 2;

/** The time of the night in which one pattern plays. */
interface Block {
  readonly scenes: ReadonlySet<number>;
  readonly toMs: number;
}

/**
 * Plays the patterns of a mix, all of them in turn and that so many times: the fewer the turns, the less is lost where
 * one pattern gives way to the next; the more, the more evenly each scene is spread over the night. A scene begins a
 * run as soon as it fits, if its pattern holds at the run's middle: so half a run may hang over at either side.
 */
export function weave(schedule: Schedule, mix: Mix, turns: number): void {
  const { scenes, windowMs } = schedule.problem;
  const sizes = scenes.map((s) => sizeOf(schedule.problem, s));
  const blocks = blocksOf(scenes, mix, turns);
  if (blocks.length === 0) return;
  const ends = blocks.map((b) => b.toMs);
  const plays = (s: PlanScene, at: number) =>
    blocks[Math.min(firstAfter(ends, at), blocks.length - 1)]!.scenes.has(s.index);
  const targets = mix.runs.map((x) => Math.round(x));
  const large = [...scenes].sort((a, b) => sizes[b.index]! - sizes[a.index]! || a.index - b.index);
  const free = new Array<number>(scenes.length).fill(0);
  const times = new Times(windowMs);
  times.put(0);
  for (const end of ends) for (const s of scenes) times.put(end - s.lengthMs / 2);
  for (let t = times.next(); t < Infinity; t = times.next()) {
    for (const s of large) {
      if (free[s.index]! > t || t > s.lastMs) continue;
      if (schedule.starts[s.index]!.length >= targets[s.index]! || !plays(s, t + s.lengthMs / 2)) continue;
      if (!schedule.fits(s, t)) continue;
      schedule.add(s, t);
      free[s.index] = t + s.spacingMs;
      times.put(t + s.lengthMs);
      times.put(t + s.spacingMs);
    }
  }
}

/** Moments to look at, each once, in order. */
class Times {
  private readonly queue = new Queue<null>();
  private readonly known = new Set<number>();
  private readonly untilMs: number;

  constructor(untilMs: number) {
    this.untilMs = untilMs;
  }

  put(at: number): void {
    const t = Math.max(0, Math.ceil(at));
    if (t >= this.untilMs || this.known.has(t)) return;
    this.known.add(t);
    this.queue.push(t, 0, null);
  }

  /** The next moment, Infinity where there is none. */
  next(): number {
    return this.queue.pop()?.at ?? Infinity;
  }
}

/** The patterns in turn; one that has little time plays in some turns only. */
function blocksOf(scenes: readonly PlanScene[], mix: Mix, turns: number): Block[] {
  const blocks: Block[] = [];
  let toMs = 0;
  for (const patterns of mix.rounds) {
    const round = patterns.map((p, k) => {
      const meanMs = p.scenes.reduce((sum, i) => sum + scenes[i]!.spacingMs, 0) / p.scenes.length;
      const times = Math.min(turns, Math.max(1, Math.floor(p.ms / (BLOCK * meanMs))));
      return { ...p, times, lag: (k * GOLDEN) % 1 };
    });
    for (let turn = 0; turn < turns; turn++)
      for (const { scenes, ms, times, lag } of round) {
        const share = (at: number) => Math.floor((at * times) / turns + lag);
        if (share(turn + 1) === share(turn)) continue;
        toMs += ms / times;
        blocks.push({ scenes: new Set(scenes), toMs });
      }
  }
  return blocks;
}
