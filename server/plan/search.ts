import { bestCounts, greatestLevel, type Limits, limitsOf, owed } from './bound.ts';
import { dispatch, type Style } from './dispatch.ts';
import { Search } from './improve.ts';
import { partsOf } from './parts.ts';
import { evenTargets, fill, placeAll, wantedTargets } from './place.ts';
import type { PlanScene, Problem } from './problem.ts';
import { Schedule } from './schedule.ts';
import { better, levelAt, type Score, scoreOf } from './score.ts';

/** Consecutive multiples of this, modulo 1, lie spread out however many there are. */
const GOLDEN = 0.6180339887498949;

/** From keeping to times to filling rooms; later ones fill better and are less even. */
const STYLES: readonly Style[] = [
  { pull: 0.5, size: 0, patience: 0.5 },
  { pull: 1, size: 3, patience: 1 },
  { pull: 2, size: 10, patience: 1 },
];

/** How far before their times runs may start, in gaps, where keeping to them leaves some out. */
const PULLS = [0.1, 0.25, 0.5];

/** Shares of the work: for the level, for more runs, and what is left for evenness. */
const FOR_LEVEL = 0.4;
const FOR_MORE = 0.75;

/** The best schedule found within so much work: level first, then worth, then evenness. */
export function searched(problem: Problem, chance: () => number, work: number): Schedule {
  const phase = chance();
  const split = partsOf(problem);
  const parts = split.map((part) => new PartSearch(part.problem, chance));
  parts.forEach((part, k) => {
    part.keepTimes((index) => (phase + (k + index) * GOLDEN) % 1);
  });
  const short = parts.filter((part) => !part.complete());
  const shortSize = short.reduce((sum, part) => sum + part.size, 0);
  const share = (part: PartSearch, of: number) => (work * of * part.size) / shortSize;

  // The lowest level of any part is that of the whole, so no part need do better than the worst.
  let level = 1;
  for (const part of [...short].sort((a, b) => a.ceiling - b.ceiling)) level = part.reach(level);
  const ceiling = short.reduce((least, part) => Math.min(least, part.ceiling), 1);
  for (const part of [...short].sort((a, b) => a.score.level - b.score.level))
    part.raise(ceiling, share(part, FOR_LEVEL));
  level = short.reduce((least, part) => Math.min(least, part.score.level), 1);
  for (const part of short) part.gain(level, share(part, FOR_MORE - FOR_LEVEL));

  const whole = new Schedule(problem);
  const size = sizeOf(problem);
  parts.forEach((part, k) => {
    part.even((work * (1 - FOR_MORE) * part.size) / Math.max(1, size));
    split[k]!.whole.forEach((index, i) => {
      for (const t of part.best[i]!) whole.add(problem.scenes[index]!, t);
    });
  });
  return whole;
}

function sizeOf(problem: Problem): number {
  return problem.scenes.reduce((sum, s) => sum + s.wanted, 0);
}

/** The search for one part of the problem. */
class PartSearch {
  readonly size: number;
  /** The highest level at which what each scene is owed, in whole runs, stays within the sums of the night. */
  readonly ceiling: number;
  /** The starts of the best schedule so far, and how good it is. */
  best: number[][];
  score: Score;
  private readonly problem: Problem;
  private readonly limits: Limits;
  private readonly chance: () => number;
  private readonly wanted: number[];

  constructor(problem: Problem, chance: () => number) {
    this.problem = problem;
    this.chance = chance;
    this.size = sizeOf(problem);
    this.limits = limitsOf(problem);
    this.ceiling = greatestLevel(problem, this.limits, owedWhole);
    this.best = problem.scenes.map(() => []);
    this.score = scoreOf(problem, this.best);
    this.wanted = problem.scenes.map((s) => s.wanted);
  }

  complete(): boolean {
    return this.problem.scenes.every((s) => this.best[s.index]!.length >= s.wanted);
  }

  /** Every scene as near to its own times as may be: what serves where there is room enough for all. */
  keepTimes(phaseOf: (index: number) => number): void {
    const { scenes } = this.problem;
    const due = scenes.map((s) => wantedTargets(s, phaseOf(s.index), this.chance));
    const near = new Schedule(this.problem);
    placeAll(near, due);
    this.fillUp(near);
    this.offer(near, 1);
    // The tighter it is, the further from its own time a run must be free to start.
    for (let k = 0; k < PULLS.length && !this.complete() && this.ceiling === 1; k++) {
      const schedule = new Schedule(this.problem);
      dispatch(schedule, { due, least: this.wanted }, { pull: PULLS[k]!, size: 0, patience: 0.3 });
      this.fillUp(schedule);
      this.offer(schedule, 1);
    }
  }

  /** Hands runs out so as to reach a level; gives back the lower of it and what was reached. */
  reach(level: number): number {
    let aim = Math.min(level, this.ceiling);
    for (let k = 0; k < 5; k++) {
      for (const style of STYLES) this.hand(aim, style, level);
      if (this.score.level >= Math.min(level, this.ceiling) - 1e-9) break;
      // What is owed can't be had: aim a little above what was, which leaves more freedom for the rest.
      aim = this.score.level + (aim - this.score.level) / 3;
    }
    return Math.min(level, this.score.level);
  }

  /** Searches for a higher level, step by step up to the ceiling. */
  raise(ceiling: number, work: number): void {
    const schedule = scheduleOf(this.problem, this.best);
    const search = new Search(schedule, this.chance);
    while (schedule.work < work && this.score.level < ceiling - 1e-9) {
      const next = nextLevel(this.problem, this.best, this.score.level);
      const least = this.problem.scenes.map((s) => owedWhole(s, next));
      const met = () => least.every((n, i) => schedule.starts[i]!.length >= n);
      search.more({ least, most: this.wanted }, work - schedule.work, met);
      if (!this.offer(schedule, 1)) break;
    }
  }

  /** Searches for more runs, with every scene kept at the level. */
  gain(level: number, work: number): void {
    for (const style of STYLES) this.hand(level, style, level);
    const schedule = scheduleOf(this.problem, this.best);
    const least = this.problem.scenes.map((s) => owedWhole(s, level));
    new Search(schedule, this.chance).more({ least, most: this.wanted }, work);
    this.offer(schedule, level);
  }

  /** Evens out the gaps. */
  even(work: number): void {
    const schedule = scheduleOf(this.problem, this.best);
    const least = this.best.map((starts) => starts.length);
    new Search(schedule, this.chance).even({ least, most: least }, work);
    this.best = schedule.starts;
  }

  private hand(aim: number, style: Style, cap: number): void {
    const schedule = new Schedule(this.problem);
    const least = this.problem.scenes.map((s) =>
      Math.min(owedWhole(s, aim), Math.floor(this.limits.most[s.index]! + 1e-6)),
    );
    const due = bestCounts(this.problem, this.limits, least).map((x, i) =>
      evenTargets(this.problem.scenes[i]!, Math.ceil(x - 1e-6), this.chance),
    );
    dispatch(schedule, { due, least }, style);
    this.fillUp(schedule);
    this.offer(schedule, cap);
  }

  /** Adds what still fits, first what is worth most for the time it takes. */
  private fillUp(schedule: Schedule): void {
    const worth = (s: PlanScene) => s.weight / s.spacingMs;
    for (const s of [...this.problem.scenes].sort((a, b) => worth(b) - worth(a) || a.index - b.index))
      fill(schedule, s, s.wanted - schedule.starts[s.index]!.length);
  }

  /** Keeps the schedule if it is better than the best, levels above the cap counting as the cap. */
  private offer(schedule: Schedule, cap: number): boolean {
    const score = scoreOf(this.problem, schedule.starts);
    const capped = (s: Score) => ({ ...s, level: Math.min(cap, s.level) });
    if (better(capped(score), capped(this.score)) <= 0) return false;
    this.best = schedule.starts.map((starts) => [...starts]);
    this.score = score;
    return true;
  }
}

function scheduleOf(problem: Problem, starts: readonly (readonly number[])[]): Schedule {
  const schedule = new Schedule(problem);
  for (const s of problem.scenes) for (const at of starts[s.index]!) schedule.add(s, at);
  return schedule;
}

/** What a scene is owed at a level, in whole runs. */
function owedWhole(scene: PlanScene, level: number): number {
  return Math.ceil(owed(scene, level) - 1e-6);
}

/** The level that would be reached if every scene at the present one had one run more. */
function nextLevel(problem: Problem, starts: readonly (readonly number[])[], level: number): number {
  let next = 1;
  for (const s of problem.scenes) {
    const had = Math.min(s.wanted, starts[s.index]!.length);
    const own = levelAt(s, had);
    next = Math.min(next, own <= level + 1e-9 ? levelAt(s, had + 1) : own);
  }
  return next;
}
