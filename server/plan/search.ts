import { PartSearch } from './part-search.ts';
import { partsOf } from './parts.ts';
import { type Problem, totalWanted } from './problem.ts';
import { Schedule } from './schedule.ts';
import { GOLDEN } from './score.ts';

/** Shares of the work: for blocks, for what keeps to times, for evenness; the rest is for what has come of these. */
const WORK = { weaving: 0.35, byTimes: 0.3, evening: 0.15 };

/** What has come of blocks is searched on at least so much. */
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
  for (const part of short) part.weave(ceiling, WORK.weaving * share(part));
  const rest = short.filter((part) => !part.woven || share(part) > THOROUGH);
  let level = able
    .filter((part) => short.includes(part) && !rest.includes(part))
    .reduce((least, part) => Math.min(least, part.score.level), 1);
  for (const part of [...rest].sort((a, b) => a.ceiling - b.ceiling)) {
    const reached = part.reach(level, share(part));
    if (part.able) level = reached;
  }
  climb(rest, ceiling, (part) => WORK.byTimes * share(part));
  for (const part of rest) part.choose(ceiling);
  climb(short, ceiling, (part) => Math.max(CLIMB, (1 - WORK.evening) * share(part) - part.spent));
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
  const able = parts.filter((part) => part.able);
  const level = able.reduce((least, part) => Math.min(least, part.score.level), 1);
  for (const part of parts) part.gain(level, work(part) / 2);
}
