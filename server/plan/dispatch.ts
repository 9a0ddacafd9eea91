import type { Targets } from './place.ts';
import { type PlanScene, sizeOf } from './problem.ts';
import { Queue } from './queue.ts';
import type { Schedule } from './schedule.ts';

/** How runs are handed out as the night goes on. */
export interface Style {
  /** How far before its due time a run may start, in gaps of its scene. */
  readonly pull: number;
  /** How much a large draw on a rule counts against being late by one gap. */
  readonly size: number;
  /** Gaps that an owed run may be late before room is kept for it ahead of all others. */
  readonly patience: number;
}

export interface Quotas {
  /** When each run of each scene is due, ascending. */
  readonly due: readonly Targets[];
  /** How many of them each scene is owed. */
  readonly least: readonly number[];
}

/** Tries for one run that waits for room, at most: the wait is cut into so many pieces of its gap. */
const PIECES = 48;

/**
 * Goes through the night from open to close and at each moment starts what fits, the latest and largest first:
 * no room is left empty that a waiting run could use, which fills circuits far better than keeping to times.
 * What would starve large draws: an owed run that waits too long is given the next room there is, ahead of time.
 */
export function dispatch(schedule: Schedule, quotas: Quotas, style: Style): void {
  const { scenes } = schedule.problem;
  const sizes = scenes.map((s) => sizeOf(schedule.problem, s));
  const got = new Array<number>(scenes.length).fill(0);
  const queue = new Queue<PlanScene>();
  const gapOf = (s: PlanScene) => Math.max(1, s.lastMs / quotas.due[s.index]!.length);
  const enqueue = (s: PlanScene, at: number) => {
    const due = quotas.due[s.index]![got[s.index]!];
    if (due === undefined || at > s.lastMs) return;
    queue.push(at, (due - at) / gapOf(s) - style.size * sizes[s.index]!, s);
  };
  /** The soonest the scene's next run may start by its own due time. */
  const releaseOf = (s: PlanScene) => {
    const due = quotas.due[s.index]![got[s.index]!] ?? Infinity;
    return Math.max(0, Math.ceil(due - style.pull * gapOf(s)));
  };
  /** Until when the scene's next run waits its turn, if it is owed. */
  const patientTo = (s: PlanScene) => {
    const owed = quotas.least[s.index]!;
    if (got[s.index]! >= owed) return Infinity;
    return Math.ceil(((got[s.index]! + 0.5 + style.patience) * s.lastMs) / owed);
  };
  for (const s of scenes) enqueue(s, releaseOf(s));
  for (let next = queue.pop(); next; next = queue.pop()) {
    const { item: s, at } = next;
    const t = schedule.earliest(s, at, s.lastMs);
    if (t === at || (t !== Infinity && at >= patientTo(s))) {
      schedule.add(s, t);
      got[s.index]! += 1;
      enqueue(s, Math.min(Math.max(t + s.spacingMs, releaseOf(s)), Math.max(at, patientTo(s))));
      continue;
    }
    // No room as things stand: what starts meanwhile may still make some, where air or needs bar the way.
    const soon = at + Math.ceil(gapOf(s) / PIECES) + 1;
    const later = t === Infinity ? soon : Math.max(t, soon);
    enqueue(s, patientTo(s) > at ? Math.min(later, patientTo(s)) : later);
  }
}
