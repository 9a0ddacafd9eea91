import { wholeLimits } from './alone.ts';
import { bestCounts, greatestLevel, type Limits, limitsOf, owed } from './bound.ts';
import { chase, trim } from './chase.ts';
import { dispatch, type Style } from './dispatch.ts';
import { Search } from './improve.ts';
import { partsOf } from './parts.ts';
import { mixOf, paletteOf } from './patterns.ts';
import { bridge, evenTargets, fill, placeAll, placeTrains, wantedTargets } from './place.ts';
import type { PlanScene, Problem } from './problem.ts';
import { pursue } from './pursue.ts';
import { Schedule } from './schedule.ts';
import { better, levelAt, longestAllowedMs, longestGapMs, type Score, scoreOf } from './score.ts';
import { weave } from './weave.ts';

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

/** How soon after its last start a run may start when gaps are kept by deadlines, in longest gaps allowed. */
const EARLY = [0.8, 0.7, 0.6, 0.5, 0.34, 0.25];

/** How often patterns are played in turn, and for how many of their scenes' lengths at least. */
const TURNS = [1, 2, 4, 6, 8, 12, 16];
const BLOCKS = [1, 2];

/** What the division among patterns costs, in rules asked. */
const MIXING = 500;

/** Patterns that come no nearer than this to the level that was reached without them are not worth more work. */
const NEAR = 0.9;

/**
 * What of the level, and of the worth, is given for evenness: a guest who comes at nine does not mind that one run
 * of fifty is lacking, but that a scene is not to be seen for an hour.
 */
const LEVEL_GIVEN = 0.03;
const WORTH_GIVEN = 0.02;

/** How often a plan without too long a gap is sought in depth. */
const PURSUITS = 100;

/** Shares of the work: for what keeps to times, for playing patterns, for evenness; the rest is for what has come of these. */
const WORK = { byTimes: 0.4, weaving: 0.25, evening: 0.15 };

/** The best schedule found within so much work: level first, then worth, then evenness. */
export function searched(problem: Problem, chance: () => number, work: number): Schedule {
  const phase = chance();
  const split = partsOf(problem);
  const parts = split.map((part) => new PartSearch(part.problem, chance));
  parts.forEach((part, k) => {
    part.keepTimes((index) => (phase + (k + index) * GOLDEN) % 1);
  });
  const short = parts.filter((part) => !part.complete());
  const size = Math.max(1, sizeOf(problem));
  const share = (part: PartSearch) => (work * part.size) / size;

  // The lowest level of any part is that of the whole, so no part need do better than the worst.
  const ceiling = short.reduce((least, part) => Math.min(least, part.ceiling), 1);
  let level = 1;
  for (const part of [...short].sort((a, b) => a.ceiling - b.ceiling)) level = part.reach(level);
  climb(short, ceiling, (part) => WORK.byTimes * share(part));
  for (const part of short) part.weave(ceiling, WORK.weaving * share(part));
  climb(short, ceiling, (part) => Math.max(0, (1 - WORK.evening) * share(part) - part.spent));
  for (const part of short) part.choose(ceiling);

  const whole = new Schedule(problem);
  parts.forEach((part, k) => {
    part.even(share(part) - part.spent);
    split[k]!.whole.forEach((index, i) => {
      for (const t of part.best[i]!) whole.add(problem.scenes[index]!, t);
    });
  });
  return whole;
}

/** Searches all parts for a higher level, then for more runs at the level of the worst of them. */
function climb(parts: readonly PartSearch[], ceiling: number, work: (part: PartSearch) => number): void {
  for (const part of [...parts].sort((a, b) => a.score.level - b.score.level))
    part.raise(ceiling, work(part) / 2);
  const level = parts.reduce((least, part) => Math.min(least, part.score.level), 1);
  for (const part of parts) part.gain(level, work(part) / 2);
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
  /** Work done by the searches. */
  spent = 0;
  private readonly tried: Tried[] = [];
  private readonly problem: Problem;
  private readonly limits: Limits;
  private readonly chance: () => number;
  private readonly wanted: number[];

  constructor(problem: Problem, chance: () => number) {
    this.problem = problem;
    this.chance = chance;
    this.size = sizeOf(problem);
    this.limits = wholeLimits(problem, limitsOf(problem));
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
    const trains = new Schedule(this.problem);
    const rest = placeTrains(trains, due);
    placeAll(trains, due, rest);
    this.fillUp(trains);
    this.offer(trains.starts, 1);
    if (this.complete() && this.score.uneven === 0) return;
    const near = new Schedule(this.problem);
    placeAll(near, due, scenes);
    this.fillUp(near);
    this.offer(near.starts, 1);
    // The tighter it is, the further from its own time a run must be free to start.
    for (let k = 0; k < PULLS.length && this.ceiling === 1; k++) {
      if (this.complete() && this.score.uneven === 0) break;
      const schedule = new Schedule(this.problem);
      dispatch(schedule, { due, least: this.wanted }, { pull: PULLS[k]!, size: 0, patience: 0.3 });
      this.fillUp(schedule);
      this.offer(schedule.starts, 1);
    }
  }

  /**
   * Plays patterns in turn, in several ways and, as long as the work lasts, again and again: a scene that got less than
   * its share of a mix is reckoned slower in the next. What is kept goes on to be searched; what was the best before is
   * not forgotten.
   */
  weave(ceiling: number, work: number): void {
    if (this.complete()) return;
    this.keep();
    const { problem, limits } = this;
    const palette = paletteOf(problem, limits, this.chance);
    const first = mixOf(problem, limits, palette);
    const ways = TURNS.flatMap((turns) => BLOCKS.map((block) => ({ turns, block })));
    const slow = ways.map(() => problem.scenes.map(() => 1));
    const begun = this.spent;
    for (let k = 0; k < ways.length || this.spent - begun < work; k++) {
      // Where runs must keep apart for their own sake (a duty, a rest) patterns can't be played, and are left at that.
      if (k === ways.length && !this.tried.slice(1).some((t) => t.score.level >= NEAR * this.score.level))
        break;
      const way = ways[k % ways.length]!;
      const schedule = new Schedule(problem);
      weave(
        schedule,
        k < ways.length ? first : mixOf(problem, limits, palette, slow[k % ways.length]),
        way.turns,
        way.block,
      );
      const got = schedule.starts.map((starts) => starts.length);
      this.fillUp(schedule);
      this.tried.push({ starts: schedule.starts, score: scoreOf(problem, schedule.starts) });
      this.spent += schedule.work + MIXING;
      slow[k % ways.length] = slower(slow[k % ways.length]!, first.runs, got);
    }
    this.pick(ceiling);
  }

  /** Settles on one of all that were tried. */
  choose(ceiling: number): void {
    this.keep();
    this.pick(ceiling);
  }

  private keep(): void {
    this.tried.push({ starts: this.best, score: this.score });
  }

  private pick(ceiling: number): void {
    const { starts, score } = mostEven(this.tried, ceiling);
    this.best = starts.map((own) => [...own]);
    this.score = score;
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

  /** Searches for a higher level up to the ceiling: in long strides first, in shorter ones where they fail. */
  raise(ceiling: number, work: number): void {
    let stride = (ceiling - this.score.level) / 2;
    let done = 0;
    while (done < work && this.score.level < ceiling - 1e-9) {
      const next = nextLevel(this.problem, Math.min(ceiling, this.score.level + stride));
      const above = nextLevel(this.problem, this.score.level);
      const least = this.problem.scenes.map((s) => owedWhole(s, Math.min(next, ceiling)));
      const schedule = scheduleOf(this.problem, this.best);
      const before = schedule.work;
      const aim = { least, most: this.wanted };
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
    for (const style of STYLES) this.hand(level, style, level);
    const schedule = scheduleOf(this.problem, this.best);
    const least = this.problem.scenes.map((s) => owedWhole(s, level));
    const before = schedule.work;
    this.offer(new Search(schedule, this.chance).more({ least, most: this.wanted }, work), level);
    this.spent += schedule.work - before;
  }

  /** Evens out the gaps. */
  even(work: number): void {
    this.evenOut(work);
    // A gap still too long in which there is room is given a run, though more than are wanted.
    const schedule = scheduleOf(this.problem, this.best);
    for (const s of this.problem.scenes) bridge(schedule, s);
    this.best = schedule.starts;
  }

  private evenOut(work: number): void {
    const share = this.complete() ? work / 4 : work;
    this.best = this.evened(this.best, share);
    if (!this.complete() || this.excess(this.best) === 0) return;
    // All is planned and yet some gap is too long.
    const none = this.pursued(share);
    if (none !== null) {
      this.best = none;
      return;
    }
    const beyond = this.excess(this.best);
    // Deadlines may take runs beyond what is wanted: they must be worth it.
    const other = this.againstDeadlines(share);
    if (other === null || this.excess(other) >= beyond) {
      this.best = this.evened(this.best, share);
      return;
    }
    const evened = this.evened(other, share);
    if (this.excess(evened) < beyond / 2) this.best = evened;
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

  private evened(starts: readonly (readonly number[])[], work: number): number[][] {
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
      this.fillUp(schedule);
      trim(schedule);
      done += schedule.work + 1;
      const excess = this.excess(schedule.starts);
      const all = this.problem.scenes.every((s) => schedule.starts[s.index]!.length >= s.wanted);
      if (!all || excess >= least) continue;
      least = excess;
      best = schedule.starts;
    }
    return best;
  }

  /** By how much the longest gap of any scene is longer than its aim allows, in `every`s. */
  private excess(starts: readonly (readonly number[])[]): number {
    return this.problem.scenes.reduce((most, s) => {
      const beyond = longestGapMs(s, starts[s.index]!) - longestAllowedMs(s);
      return s.wanted > 0 ? Math.max(most, beyond / s.everyMs) : most;
    }, 0);
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
    this.offer(schedule.starts, cap);
  }

  /** Adds what still fits, first what is worth most for the time it takes. */
  private fillUp(schedule: Schedule): void {
    const worth = (s: PlanScene) => s.weight / s.spacingMs;
    for (const s of [...this.problem.scenes].sort((a, b) => worth(b) - worth(a) || a.index - b.index))
      fill(schedule, s, s.wanted - schedule.starts[s.index]!.length);
  }

  /** Keeps the schedule if it is better than the best, levels above the cap counting as the cap. */
  private offer(starts: readonly (readonly number[])[], cap: number): boolean {
    const score = scoreOf(this.problem, starts);
    const capped = (s: Score) => ({ ...s, level: Math.min(cap, s.level) });
    if (better(capped(score), capped(this.score)) <= 0) return false;
    this.best = starts.map((own) => [...own]);
    this.score = score;
    return true;
  }
}

/** Reckons scenes that got less than their share slower, and the others faster. */
function slower(slow: readonly number[], due: readonly number[], got: readonly number[]): number[] {
  const ratio = due.map((x, i) => Math.max(x, 1) / Math.max(got[i]!, 1));
  const mean = ratio.reduce((sum, r) => sum + r, 0) / ratio.length;
  return slow.map((x, i) => x * (ratio[i]! / mean) ** 0.7);
}

interface Tried {
  readonly starts: readonly (readonly number[])[];
  readonly score: Score;
}

/**
 * The most even of those that come near the best level and, of these, near the best worth; where all that is wanted
 * is planned in some, one of these. Levels above the ceiling count as it, since another part can't follow.
 */
function mostEven(tried: readonly Tried[], ceiling: number): Tried {
  const levelOf = (t: Tried) => Math.min(ceiling, t.score.level);
  const level = Math.max(...tried.map(levelOf));
  const high = tried.filter((t) => levelOf(t) >= level * (1 - (level < 1 ? LEVEL_GIVEN : 0)) - 1e-9);
  const worth = Math.max(...high.map((t) => t.score.worth));
  const good = high.filter((t) => t.score.worth >= worth * (1 - (level < 1 ? WORTH_GIVEN : 0)) - 1e-9);
  return good.reduce((a, b) => (b.score.uneven < a.score.uneven ? b : a));
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

/** The lowest level above the given one at which some scene is owed a run more. */
function nextLevel(problem: Problem, level: number): number {
  let next = 1;
  for (const s of problem.scenes) {
    if (s.weight === 0) continue;
    const owedNow = Math.floor(owed(s, level) + 1e-6);
    if (owedNow < s.wanted) next = Math.min(next, levelAt(s, owedNow + 1));
  }
  return next;
}
