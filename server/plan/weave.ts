import { firstAfter } from './duty.ts';
import type { Mix, Pattern } from './patterns.ts';
import { type PlanScene, sizeOf } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { GOLDEN } from './score.ts';

/** Rounds that are begun and mended, at most. */
const ROUNDS = 40;

/** The time of the night in which one pattern plays. */
interface Block {
  readonly scenes: ReadonlySet<number>;
  readonly toMs: number;
}

/**
 * Plays the patterns of a mix, all of them in turn and that so many times: the fewer the turns, the less is lost where
 * one pattern gives way to the next; the more, the more evenly each scene is spread over the night. A scene begins a
 * run as soon as it fits, if its pattern holds at the run's middle: so half a run may hang over at either side.
 * @param block for how many of its scenes' mean lengths a pattern plays at least, so that it loses little at its ends
 */
export function weave(schedule: Schedule, mix: Mix, turns: number, block: number): void {
  const { scenes, windowMs } = schedule.problem;
  const sizes = scenes.map((s) => sizeOf(schedule.problem, s));
  const blocks = blocksOf(scenes, mix, turns, block, (i) => sizes[i]! * scenes[i]!.lengthMs);
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
  private readonly heap: number[] = [];
  private readonly known = new Set<number>();
  private readonly untilMs: number;

  constructor(untilMs: number) {
    this.untilMs = untilMs;
  }

  put(at: number): void {
    const t = Math.max(0, Math.ceil(at));
    if (t >= this.untilMs || this.known.has(t)) return;
    this.known.add(t);
    const { heap } = this;
    let k = heap.push(t) - 1;
    for (let up = (k - 1) >> 1; k > 0 && heap[up]! > t; up = (k - 1) >> 1) {
      heap[k] = heap[up]!;
      k = up;
    }
    heap[k] = t;
  }

  /** The next moment, Infinity where there is none. */
  next(): number {
    const { heap } = this;
    const top = heap[0] ?? Infinity;
    const t = heap.pop();
    if (t === undefined || heap.length === 0) return top;
    let k = 0;
    for (let down = 1; down < heap.length; down = 2 * k + 1) {
      if (down + 1 < heap.length && heap[down + 1]! < heap[down]!) down += 1;
      if (heap[down]! >= t) break;
      heap[k] = heap[down]!;
      k = down;
    }
    heap[k] = t;
    return top;
  }
}

/** The patterns in turn; one that has little time plays in some turns only. */
function blocksOf(
  scenes: readonly PlanScene[],
  mix: Mix,
  turns: number,
  block: number,
  costOf: (scene: number) => number,
): Block[] {
  const blocks: Block[] = [];
  let toMs = 0;
  for (const { patterns } of mix.stretches) {
    const round = inOrder(patterns, costOf).map((p, k) => {
      const meanMs = p.scenes.reduce((sum, i) => sum + scenes[i]!.spacingMs, 0) / p.scenes.length;
      const times = Math.min(turns, Math.max(1, Math.floor(p.ms / (block * meanMs))));
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

/** The patterns as a round in which each differs little from the next: nearest first, then mended by reversing parts. */
function inOrder(patterns: readonly Pattern[], costOf: (scene: number) => number): Pattern[] {
  const apart = patterns.map((a) =>
    patterns.map((b) => {
      const changed = [
        ...a.scenes.filter((i) => !b.scenes.includes(i)),
        ...b.scenes.filter((i) => !a.scenes.includes(i)),
      ];
      return changed.reduce((sum, i) => sum + costOf(i), 0);
    }),
  );
  let best: number[] = [];
  let least = Infinity;
  const stride = Math.ceil(patterns.length / ROUNDS);
  for (let first = 0; first < patterns.length; first += stride) {
    const round = mended(nearestFirst(apart, first), apart);
    const length = lengthOf(round, apart);
    if (length >= least - 1e-9) continue;
    least = length;
    best = round;
  }
  return best.map((k) => patterns[k]!);
}

function nearestFirst(apart: readonly (readonly number[])[], first: number): number[] {
  const round = [first];
  const left = new Set(apart.keys());
  left.delete(first);
  for (let last = first; left.size > 0; ) {
    let near = -1;
    for (const k of left) if (near < 0 || apart[last]![k]! < apart[last]![near]!) near = k;
    left.delete(near);
    round.push(near);
    last = near;
  }
  return round;
}

function lengthOf(round: readonly number[], apart: readonly (readonly number[])[]): number {
  return round.reduce((sum, a, k) => sum + apart[a]![round[(k + 1) % round.length]!]!, 0);
}

/** Reverses parts of the round as long as that shortens it (Croes 1958). */
function mended(round: number[], apart: readonly (readonly number[])[]): number[] {
  const n = round.length;
  for (let again = true; again; ) {
    again = false;
    for (let i = 0; i < n - 1; i++)
      for (let j = i + 1; j < n; j++) {
        const [a, b, c, d] = [round[(i + n - 1) % n]!, round[i]!, round[j]!, round[(j + 1) % n]!];
        if (a === c || apart[a]![c]! + apart[b]![d]! >= apart[a]![b]! + apart[c]![d]! - 1e-9) continue;
        round.splice(i, j - i + 1, ...round.slice(i, j + 1).reverse());
        again = true;
      }
  }
  return round;
}
