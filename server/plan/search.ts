import { PartSearch } from './part-search.ts';
import { partsOf } from './parts.ts';
import { type Problem, totalWanted } from './problem.ts';
import { Schedule } from './schedule.ts';
import { GOLDEN } from './score.ts';

/**
 * Shares of the work: for blocks, for what keeps to times, for a higher level of the best of each, for evenness; the rest
 * is for what has come of these.
 */
const WORK = { weaving: 0.4, byTimes: 0.25, polish: 0.15, evening: 0.15 };

/** Of the work for blocks, the share for finding them. */
const FINDING = 0.7;

/** So many layings more of blocks for each part there are at least, and at most. */
const LEAST = 2;
const MOST = 25;

/** A part with less to its share than this may spend all of it on blocks. */
const WEAVING = 200_000;

/** What has come of blocks is searched on at least so much, if need be beyond the share. */
const CLIMB = 60_000;

/** A part with more work than this to its share is searched in both ways, however near to the ceiling blocks came. */
const THOROUGH = 600_000;

/** The best schedule found within so much work: level first, then worth, then evenness. */
export function searched(problem: Problem, chance: () => number, work: number): Schedule {
  const phase = chance();
  const split = partsOf(problem);
  const parts = split.map((part) => new PartSearch(part.problem, chance));
  parts.forEach((part, k) => {
    part.keepTimes((index) => (phase + (k + index) * GOLDEN) % 1);
  });
  const short = parts.filter((part) => !part.full());
  const size = Math.max(1, totalWanted(problem));
  const share = (part: PartSearch) => (work * part.size) / size;

  // The lowest level of any part is that of the whole, so no part need do better than the worst.
  const able = parts.filter((part) => part.able);
  const ceiling = able.reduce((least, part) => Math.min(least, part.ceiling), 1);
  const weaving = (part: PartSearch) => Math.max(WORK.weaving * share(part), Math.min(WEAVING, share(part)));
  for (const part of short) part.weave(FINDING * weaving(part));
  weaveOn(
    short,
    ceiling,
    short.reduce((sum, part) => sum + weaving(part), 0),
  );
  const rest = short.filter((part) => !part.woven || share(part) > THOROUGH);
  const woven = able
    .filter((part) => short.includes(part) && !rest.includes(part))
    .reduce((least, part) => Math.min(least, part.highest()), 1);
  let level = woven;
  for (const part of [...rest].sort((a, b) => a.ceiling - b.ceiling)) {
    const reached = part.reach(level, share(part));
    if (part.able) level = reached;
  }
  for (const part of short) if (part.weaver !== null) part.polish(ceiling, WORK.polish * share(part));
  climb(rest, Math.min(ceiling, woven), (part) => WORK.byTimes * share(part));
  settle(short, ceiling);
  climb(short, ceiling, (part) => Math.max(CLIMB, (1 - WORK.evening) * share(part) - part.spent));
  settle(short, ceiling);

  const whole = new Schedule(problem);
  parts.forEach((part, k) => {
    part.even(Math.max(WORK.evening * share(part), share(part) - part.spent));
    split[k]!.whole.forEach((index, i) => {
      for (const t of part.best[i]!) whole.add(problem.scenes[index]!, t);
    });
  });
  return whole;
}

/** Plays blocks on in the parts where least has come of them: the lowest level of any is that of the whole. */
function weaveOn(parts: readonly PartSearch[], ceiling: number, work: number): void {
  const weaving = parts.filter((part) => part.weaver !== null && part.able);
  if (weaving.length === 0) return;
  const spent = () => weaving.reduce((sum, part) => sum + part.spent, 0);
  for (let k = 0; k < MOST * weaving.length && (k < LEAST * weaving.length || spent() < work); k++) {
    const worst = weaving.reduce((a, b) => (b.highest() < a.highest() ? b : a));
    if (worst.highest() >= ceiling - 1e-9) return;
    worst.weaveOn();
  }
}

/** Each part settles on what serves the whole best. */
function settle(parts: readonly PartSearch[], ceiling: number): void {
  const able = parts.filter((part) => part.able);
  const cap = able.reduce((least, part) => Math.min(least, part.highest()), ceiling);
  for (const part of parts) part.choose(cap, ceiling);
}

/** Searches all parts for a higher level, the lowest first and none beyond it, and then for more runs at that level. */
function climb(parts: readonly PartSearch[], ceiling: number, work: (part: PartSearch) => number): void {
  let level = ceiling;
  for (const part of [...parts].sort((a, b) => a.score.level - b.score.level)) {
    part.raise(level, work(part) / 2);
    if (part.able) level = Math.min(level, part.score.level);
  }
  for (const part of parts) part.gain(Math.min(level, part.score.level), work(part) / 2);
}
