import type { PlanScene } from './problem.ts';
import { Queue } from './queue.ts';
import type { Schedule } from './schedule.ts';
import { longestAllowedMs } from './score.ts';

/**
 * Hands out runs against deadlines: whichever scene's gap would first grow too long goes first (earliest deadline
 * first, without preemption). No scene is held to the number that it wants: one that must keep clear of others may
 * need a run more than it asks for, as where one of every 2 and one of every 3 minutes share a place.
 * @param early how soon after its last start a run may start, as a share of the longest gap allowed
 * @param noise how far deadlines are shaken, as a share of it, to try other orders
 */
export function chase(schedule: Schedule, early: number, noise: number, chance: () => number): void {
  const { scenes } = schedule.problem;
  const queue = new Queue<PlanScene>();
  const enqueue = (s: PlanScene, last: number, at: number) => {
    const starts = schedule.starts[s.index]!;
    const limit = longestAllowedMs(s);
    const enough = starts.length >= s.wanted && s.lastMs - last <= limit;
    if (!enough && at <= s.lastMs) queue.push(at, last + limit * (1 + noise * chance()), s);
  };
  for (const s of scenes) if (s.wanted > 0) enqueue(s, 0, 0);
  const until = schedule.work + 3_000_000;
  for (let next = queue.pop(); next && schedule.work < until; next = queue.pop()) {
    const { item: s, at } = next;
    const t = schedule.earliest(s, at, s.lastMs);
    const starts = schedule.starts[s.index]!;
    if (t === at) {
      schedule.add(s, t);
      enqueue(s, t, Math.ceil(t + Math.max(s.spacingMs, early * longestAllowedMs(s))));
    } else if (t !== Infinity) enqueue(s, starts[starts.length - 1] ?? 0, t);
  }
}

/** Takes away runs beyond what is wanted where no gap grows too long for it. */
export function trim(schedule: Schedule): void {
  for (const s of schedule.problem.scenes) {
    const starts = schedule.starts[s.index]!;
    for (let k = 0; k < starts.length && starts.length > s.wanted; ) {
      const around = (starts[k + 1] ?? s.lastMs) - (starts[k - 1] ?? 0);
      if (around > longestAllowedMs(s) || !schedule.remove(s, starts[k]!)) k += 1;
    }
  }
}
