import type { PlanScene } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { longestAllowedMs } from './score.ts';

/** A way of looking for a plan in which no gap is too long. */
export interface Pursuit {
  /** By scene, how soon after its last start a run may start, as a share of the longest gap allowed. */
  readonly early: readonly number[];
  /** How far deadlines are shaken when it is chosen who goes next, as a share of the longest gap allowed. */
  readonly noise: number;
  /** How many of those who might go next are tried at most. */
  readonly width: number;
}

interface Choice {
  readonly scene: PlanScene;
  readonly at: number;
}

/**
 * Chooses run by run who starts next, the nearest deadline first, and takes back choices that lead to a gap too long:
 * a search in depth, for yards so small that the order of a few runs decides. Fills the schedule, which must be empty.
 * @returns whether no gap is too long and nothing wanted is lacking; if not, the schedule is left empty
 */
export function pursue(schedule: Schedule, pursuit: Pursuit, work: number, chance: () => number): boolean {
  const { scenes } = schedule.problem;
  const until = schedule.work + work;
  const wanted = scenes.filter((s) => s.wanted > 0);
  const made: Choice[] = [];
  const open: Choice[][] = [choices(schedule, wanted, 0, pursuit, chance)];
  for (;;) {
    const next = open[open.length - 1]!.shift();
    if (next && schedule.work < until) {
      schedule.add(next.scene, next.at);
      made.push(next);
      if (wanted.every((s) => isDone(schedule, s))) return true;
      open.push(choices(schedule, wanted, next.at, pursuit, chance));
      continue;
    }
    open.pop();
    const last = made.pop();
    if (!last) return false;
    // What was added last can always be taken back: all was well without it.
    schedule.remove(last.scene, last.at);
  }
}

/** Who may start next without another's gap growing too long meanwhile; none where one is too long already. */
function choices(
  schedule: Schedule,
  wanted: readonly PlanScene[],
  from: number,
  { early, noise, width }: Pursuit,
  chance: () => number,
): Choice[] {
  let first = Infinity;
  const found: (Choice & { readonly key: number })[] = [];
  for (const s of wanted) {
    if (isDone(schedule, s)) continue;
    const starts = schedule.starts[s.index]!;
    const last = starts[starts.length - 1];
    const limit = longestAllowedMs(s);
    const due = Math.min(s.lastMs, (last ?? 0) + limit);
    const soon = last === undefined ? 0 : Math.max(last + s.spacingMs, last + early[s.index]! * limit);
    const at = schedule.earliest(s, Math.max(from, soon), due);
    if (at > due) return [];
    first = Math.min(first, due);
    found.push({ scene: s, at, key: due + noise * limit * chance() });
  }
  return found
    .filter((c) => c.at <= first)
    .sort((a, b) => a.key - b.key)
    .slice(0, width);
}

function isDone(schedule: Schedule, s: PlanScene): boolean {
  const starts = schedule.starts[s.index]!;
  return starts.length >= s.wanted && s.lastMs - (starts[starts.length - 1] ?? 0) <= longestAllowedMs(s);
}
