import { chase, trim } from './chase.ts';
import { Search } from './improve.ts';
import { bridge, fillUp, placeAll, type Targets, wantedTargets } from './place.ts';
import type { PlanScene, Problem } from './problem.ts';
import { pursue } from './pursue.ts';
import { Schedule, scheduleOf } from './schedule.ts';
import { longestAllowedMs, longestGapMs } from './score.ts';

/** How soon after its last start a run may start when gaps are kept by deadlines, in longest gaps allowed. */
const EARLY = [0.8, 0.7, 0.6, 0.5, 0.34, 0.25];

/** How often a plan without too long a gap is sought in depth. */
const PURSUITS = 100;

/** So often a scene's own times are drawn, to lay it there again. */
const RESPACED = 4;

type Starts = readonly (readonly number[])[];

/** Evens out the gaps of a plan, its runs as many as they are or more; all by so much work. */
export function evenedOut(problem: Problem, starts: Starts, chance: () => number, work: number): number[][] {
  const schedule = scheduleOf(problem, new Evening(problem, chance).evenOut(starts, work));
  fillUp(schedule);
  // A gap still too long in which there is room is given a run, though more than are wanted.
  for (const s of problem.scenes) bridge(schedule, s);
  // Twice: what the last scenes leave free may be what the first lacked.
  for (let k = 0; k < 2; k++) for (const s of problem.scenes) respace(schedule, s, chance);
  fillUp(schedule);
  return schedule.starts;
}

/**
 * Lays a scene that has all that it wants at its own times again, if it can be had there and no gap grows: what evens
 * the gaps of all often runs it too often, and as a metronome.
 */
function respace(schedule: Schedule, scene: PlanScene, chance: () => number): void {
  const old = [...schedule.starts[scene.index]!];
  const soonest = leastGapMs(old);
  if (scene.wanted === 0 || old.length < scene.wanted) return;
  if (old.length === scene.wanted && soonest >= scene.everyMs * (1 - scene.vary) - 1) return;
  const limit = Math.max(longestAllowedMs(scene), longestGapMs(scene, old));
  const targets = schedule.problem.scenes.map((): Targets => []);
  if (!removeAll(schedule, scene)) return;
  for (let k = 0; k < RESPACED; k++) {
    targets[scene.index] = wantedTargets(scene, chance(), chance);
    placeAll(schedule, targets, [scene]);
    const now = schedule.starts[scene.index]!;
    const good = now.length >= scene.wanted && longestGapMs(scene, now) <= limit;
    if (good && leastGapMs(now) >= soonest) return;
    // Where they can't be taken back they stay: two of one run would be worse.
    if (!removeAll(schedule, scene)) return;
  }
  for (const t of old) schedule.add(scene, t);
}

/** Takes all runs of a scene away; false, with nothing changed, where another needs one of them. */
function removeAll(schedule: Schedule, scene: PlanScene): boolean {
  const starts = [...schedule.starts[scene.index]!];
  for (let k = starts.length - 1; k >= 0; k--) {
    if (schedule.remove(scene, starts[k]!)) continue;
    for (const t of starts.slice(k + 1)) schedule.add(scene, t);
    return false;
  }
  return true;
}

/** The shortest time from one start to the next. */
function leastGapMs(starts: readonly number[]): number {
  return starts.reduce((least, t, k) => (k > 0 ? Math.min(least, t - starts[k - 1]!) : least), Infinity);
}

class Evening {
  private readonly problem: Problem;
  private readonly chance: () => number;

  constructor(problem: Problem, chance: () => number) {
    this.problem = problem;
    this.chance = chance;
  }

  evenOut(starts: Starts, work: number): Starts {
    const share = this.complete(starts) ? work / 4 : work;
    const first = this.evened(starts, share);
    if (!this.complete(first) || this.excess(first) === 0) return first;
    // All is planned and yet some gap is too long.
    const none = this.pursued(share);
    if (none !== null) return none;
    const beyond = this.excess(first);
    // Deadlines may take runs beyond what is wanted: they must be worth it.
    const other = this.againstDeadlines(share);
    if (other === null || this.excess(other) >= beyond) return this.evened(first, share);
    const evened = this.evened(other, share);
    return this.excess(evened) < beyond / 2 ? evened : first;
  }

  private complete(starts: Starts): boolean {
    return this.problem.scenes.every((s) => starts[s.index]!.length >= s.wanted);
  }

  /** A plan in which no gap is too long, sought in depth with ever other patience; null where none was found. */
  private pursued(work: number): number[][] | null {
    const schedule = new Schedule(this.problem);
    for (let k = 0; schedule.work < work; k++) {
      const given = k < EARLY.length;
      const early = this.problem.scenes.map(() => (given ? EARLY[k]! : 0.95 * this.chance()));
      const pursuit = { early, noise: given ? 0 : 0.5 * this.chance(), width: 4 };
      if (!pursue(schedule, pursuit, Math.min(work - schedule.work, work / PURSUITS), this.chance)) continue;
      trim(schedule);
      return schedule.starts;
    }
    return null;
  }

  private evened(starts: Starts, work: number): number[][] {
    const schedule = scheduleOf(this.problem, starts);
    const least = starts.map((own) => own.length);
    new Search(schedule, this.chance).even({ least, most: least }, work);
    return schedule.starts;
  }

  /** Hands runs out against deadlines in several ways; the one with the least excess in which nothing is lacking. */
  private againstDeadlines(work: number): number[][] | null {
    let best: number[][] | null = null;
    let least = Infinity;
    let done = 0;
    for (let k = 0; done < work && least > 0; k++) {
      const schedule = new Schedule(this.problem);
      chase(schedule, EARLY[k % EARLY.length]!, k < EARLY.length ? 0 : 0.4 * this.chance(), this.chance);
      fillUp(schedule);
      trim(schedule);
      done += schedule.work + 1;
      const excess = this.excess(schedule.starts);
      if (!this.complete(schedule.starts) || excess >= least) continue;
      least = excess;
      best = schedule.starts;
    }
    return best;
  }

  /** By how much the longest gap of any scene is longer than its aim allows, in `every`s. */
  private excess(starts: Starts): number {
    return this.problem.scenes.reduce((most, s) => {
      const beyond = longestGapMs(s, starts[s.index]!) - longestAllowedMs(s);
      return s.wanted > 0 ? Math.max(most, beyond / s.everyMs) : most;
    }, 0);
  }
}
