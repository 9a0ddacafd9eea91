import { wholeLimits } from './alone.ts';
import {
  bestCounts,
  greatestLevel,
  greatestWorth,
  type Limits,
  limitsOf,
  nextLevel,
  owedWhole,
} from './bound.ts';
import { dispatch, type Style } from './dispatch.ts';
import { evenedOut } from './even-gaps.ts';
import { Search } from './improve.ts';
import { evenTargets, fillUp, placeAll, placeTrains, wantedTargets } from './place.ts';
import { type Problem, totalWanted } from './problem.ts';
import { Schedule, scheduleOf } from './schedule.ts';
import { better, type Score, scoreOf } from './score.ts';
import { bestTried, type Tried } from './tried.ts';
import { Weaver } from './weave.ts';

/** From keeping to times to filling rooms; later ones fill better and are less even. */
const STYLES: readonly Style[] = [
  { pull: 0.5, size: 0, patience: 0.5 },
  { pull: 1, size: 3, patience: 1 },
  { pull: 2, size: 10, patience: 1 },
];

/** How far before their times runs may start, in gaps, where keeping to them leaves some out. */
const PULLS = [0.1, 0.25, 0.5];

/** In a large part, where to hand runs out once costs as much as to search, it is not done a dozen times. */
const HANDING = 6;
/** Beyond this share of its work, runs are handed out in the best style alone. */
const HANDING_ALL = 0.25;

/** So often blocks are played in any part. */
const TRIALS = 3;

/** So many of those tried are searched on for a higher level, each by so much work: what is to be gained soon is. */
const POLISHED = 6;
const POLISH = 25_000;

/**
 * Blocks that come no nearer than this to what was reached without them serve no more; so near to the ceiling, little is
 * left to find in other ways.
 */
const WOVEN = 0.9;

/** The search for one part of the problem. */
export class PartSearch {
  readonly size: number;
  /** The highest level at which what each scene is owed, in whole runs, stays within the sums of the night. */
  readonly ceiling: number;
  /** The greatest worth by the sums of the night. */
  private readonly mostWorth: number;
  /** Every scene can have a run. A part where one can have none is at level 0, and holds no other part back. */
  readonly able: boolean;
  /** The starts of the best schedule so far, and how good it is. */
  best: number[][];
  score: Score;
  /** Work done by the searches. */
  spent = 0;
  /** Blocks came near the ceiling. */
  woven = false;
  /** What plays blocks; null where that is not worth its work. */
  weaver: Weaver | null = null;
  /** Work done by handing runs out. */
  private handed = 0;
  private readonly tried: Tried[] = [];
  private readonly problem: Problem;
  private readonly limits: Limits;
  private readonly chance: () => number;
  private readonly wanted: number[];

  constructor(problem: Problem, chance: () => number) {
    this.problem = problem;
    this.chance = chance;
    this.size = totalWanted(problem);
    this.limits = wholeLimits(problem, limitsOf(problem));
    this.ceiling = greatestLevel(problem, this.limits, owedWhole);
    this.mostWorth = greatestWorth(problem, this.limits);
    this.able = problem.scenes.every((s) => s.wanted === 0 || this.limits.most[s.index]! >= 1);
    this.best = problem.scenes.map(() => []);
    this.score = scoreOf(problem, this.best);
    this.wanted = problem.scenes.map((s) => s.wanted);
  }

  /** Every scene has all that it wants. */
  complete(): boolean {
    return this.hasAll(this.wanted);
  }

  /** Every scene has all that it could have if it were alone in the yard: no search finds more. */
  full(): boolean {
    return this.hasAll(this.limits.most);
  }

  private hasAll(counts: readonly number[]): boolean {
    return counts.every((n, i) => this.best[i]!.length >= n);
  }

  /** Every scene as near to its own times as may be: what serves where there is room enough for all. */
  keepTimes(phaseOf: (index: number) => number): void {
    const { scenes } = this.problem;
    const due = scenes.map((s) => wantedTargets(s, phaseOf(s.index), this.chance));
    const trains = new Schedule(this.problem);
    const rest = placeTrains(trains, due);
    placeAll(trains, due, rest);
    fillUp(trains);
    this.offer(trains.starts, 1);
    if (this.complete() && this.score.uneven === 0) return;
    const near = new Schedule(this.problem);
    placeAll(near, due, scenes);
    fillUp(near);
    this.offer(near.starts, 1);
    // The tighter it is, the further from its own time a run must be free to start.
    for (let k = 0; k < PULLS.length && this.ceiling === 1; k++) {
      if (this.complete() && this.score.uneven === 0) break;
      const schedule = new Schedule(this.problem);
      dispatch(schedule, { due, least: this.wanted }, { pull: PULLS[k]!, size: 0, patience: 0.3 });
      fillUp(schedule);
      this.offer(schedule.starts, 1);
    }
  }

  /** Plays blocks in turn, a few times. What was the best before is not forgotten. */
  weave(work: number): void {
    if (this.full() || this.problem.scenes.length < 2) return;
    this.keep();
    const weaver = new Weaver(this.problem, this.limits, this.chance);
    if (weaver.begin(work)) {
      const before = this.tried.length;
      for (let k = 0; k < TRIALS; k++) this.layAgain(weaver);
      const level = Math.max(...this.tried.slice(before).map((t) => t.score.level));
      if (level >= WOVEN * this.score.level) this.weaver = weaver;
      this.woven = this.able && level >= WOVEN * this.ceiling;
    }
    this.spent += weaver.spent;
  }

  /** Plays blocks once more. */
  weaveOn(): void {
    if (this.weaver === null) return;
    const before = this.weaver.spent;
    this.layAgain(this.weaver);
    this.spent += this.weaver.spent - before;
  }

  private layAgain(weaver: Weaver): void {
    for (const starts of weaver.again()) this.tried.push({ starts, score: scoreOf(this.problem, starts) });
  }

  /** Searches for a higher level from the best of what was tried, one after the other, by so much work in all. */
  polish(ceiling: number, work: number): void {
    const count = Math.min(POLISHED, Math.floor(work / POLISH));
    this.keep();
    for (const tried of this.byMerit().slice(0, count)) {
      this.take(tried);
      this.raise(ceiling, POLISH);
      this.keep();
    }
    this.take(this.byMerit()[0]!);
  }

  private byMerit(): Tried[] {
    return [...this.tried].sort((a, b) => better(b.score, a.score));
  }

  private take({ starts, score }: Tried): void {
    this.best = starts.map((own) => [...own]);
    this.score = score;
  }

  /** The highest level of all that were tried. */
  highest(): number {
    return this.tried.reduce((most, { score }) => Math.max(most, score.level), this.score.level);
  }

  /**
   * Settles on one of all that were tried.
   * @param cap the level that the worst part reaches
   */
  choose(cap: number, ceiling: number): void {
    if (this.full()) return;
    this.keep();
    this.take(bestTried(this.tried, cap, { level: ceiling, worth: this.mostWorth }));
  }

  private keep(): void {
    this.tried.push({ starts: this.best, score: this.score });
  }

  /** Hands runs out so as to reach a level; gives back the lower of it and what was reached. */
  reach(level: number, work: number): number {
    let aim = Math.min(level, this.ceiling);
    let styles: readonly Style[] = STYLES;
    for (let k = 0; k < 5; k++) {
      const best = this.handOut(aim, level, work, styles);
      if (this.handed > HANDING_ALL * work) styles = [best];
      if (this.score.level >= Math.min(level, this.ceiling) - 1e-9) break;
      // What is owed can't be had: aim a little above what was, which leaves more freedom for the rest.
      aim = this.score.level + (aim - this.score.level) / 3;
    }
    return Math.min(level, this.score.level);
  }

  /** Searches for a higher level up to the ceiling: in long strides first, in shorter ones where they fail. */
  raise(ceiling: number, work: number): void {
    let stride = (ceiling - this.score.level) / 2;
    let done = 0;
    while (done < work && !this.full() && this.score.level < ceiling - 1e-9) {
      const next = nextLevel(this.problem, Math.min(ceiling, this.score.level + stride));
      const above = nextLevel(this.problem, this.score.level);
      const least = this.problem.scenes.map((s) => owedWhole(s, Math.min(next, ceiling)));
      const schedule = scheduleOf(this.problem, this.best);
      const before = schedule.work;
      const aim = { least, most: this.limits.most };
      // The shortest stride there is may take all the work that is left.
      const share = next <= above + 1e-9 ? work - done : (work - done) / 4;
      this.offer(new Search(schedule, this.chance).more(aim, share), 1);
      done += schedule.work - before + 1;
      this.spent += schedule.work - before;
      if (this.score.level < next - 1e-9) stride /= 4;
    }
  }

  /** Searches for more runs, with every scene kept at the level. */
  gain(level: number, work: number): void {
    if (this.full()) return;
    this.handOut(level, level, work, STYLES);
    const schedule = scheduleOf(this.problem, this.best);
    const least = this.problem.scenes.map((s) => owedWhole(s, level));
    const before = schedule.work;
    this.offer(new Search(schedule, this.chance).more({ least, most: this.limits.most }, work), level);
    this.spent += schedule.work - before;
  }

  /** Evens out the gaps. */
  even(work: number): void {
    this.best = evenedOut(this.problem, this.best, this.chance, work);
  }

  /** In each of the styles; gives back the one that came highest. */
  private handOut(aim: number, cap: number, work: number, styles: readonly Style[]): Style {
    let best = styles[0]!;
    let highest: Score | null = null;
    for (const style of styles) {
      if (this.handed >= HANDING * work) break;
      const score = this.hand(aim, style, cap);
      if (highest !== null && better(score, highest) <= 0) continue;
      highest = score;
      best = style;
    }
    return best;
  }

  private hand(aim: number, style: Style, cap: number): Score {
    const schedule = new Schedule(this.problem);
    const least = this.problem.scenes.map((s) => Math.min(owedWhole(s, aim), this.limits.most[s.index]!));
    const due = bestCounts(this.problem, this.limits, least).map((x, i) =>
      evenTargets(this.problem.scenes[i]!, Math.ceil(x - 1e-6), this.chance),
    );
    dispatch(schedule, { due, least }, style);
    fillUp(schedule);
    this.handed += schedule.work;
    return this.offer(schedule.starts, cap);
  }

  /** Keeps the schedule if it is better than the best, levels above the cap counting as the cap. */
  private offer(starts: readonly (readonly number[])[], cap: number): Score {
    const score = scoreOf(this.problem, starts);
    const capped = (s: Score) => ({ ...s, level: Math.min(cap, s.level) });
    if (better(capped(score), capped(this.score)) > 0) {
      this.best = starts.map((own) => [...own]);
      this.score = score;
    }
    return score;
  }
}
