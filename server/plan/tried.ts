import type { Score } from './score.ts';

/**
 * What of the level, and of the worth, may be given for evenness at most: a guest who comes at nine does not mind that one
 * run of fifty is lacking, but that a scene is not to be seen for an hour.
 */
const GIVEN = 0.035;

/** Half the unevenness is worth so much of the level, or of the worth. */
const HALF = 0.01;

/** These shares of the most that there can be are not gone below for evenness, where they were reached. */
const KEPT = { level: 0.95, worth: 0.97 };

/** A schedule that was found, and how good it is. */
export interface Tried {
  readonly starts: readonly (readonly number[])[];
  readonly score: Score;
}

/**
 * What is best of what was tried: near the best level and worth, and even. Where all that is wanted is planned in some,
 * the most even of these.
 * @param cap what is reached by the worst part, if that is another: levels above it count as it
 * @param most the highest level that there can be, and the greatest worth
 */
export function bestTried(
  tried: readonly Tried[],
  cap: number,
  most: { readonly level: number; readonly worth: number },
): Tried {
  const given = tried.some((t) => t.score.level === 1) ? 0 : GIVEN;
  const levelOf = (t: Tried) => Math.min(cap, t.score.level);
  const level = Math.max(...tried.map(levelOf));
  const leastLevel = leastOf(level, given, KEPT.level * most.level);
  const high = tried.filter((t) => levelOf(t) >= leastLevel - 1e-9);
  const worth = Math.max(...high.map((t) => t.score.worth));
  const leastWorth = leastOf(worth, given, KEPT.worth * most.worth);
  const worthy = high.filter((t) => t.score.worth >= leastWorth - 1e-9);
  // Scenes without weight count for nothing in either.
  const spare = Math.max(...worthy.map((t) => t.score.spare));
  const good = worthy.filter((t) => t.score.spare >= spare * (1 - given));
  const merit = (t: Tried) =>
    levelOf(t) / Math.max(level, 1e-9) +
    t.score.worth / Math.max(worth, 1e-9) -
    HALF * Math.log2(1 + t.score.uneven);
  return good.reduce((a, b) => (merit(b) > merit(a) ? b : a));
}

/** What is not gone below: a little less than the best, but not less than what is kept where that was reached. */
function leastOf(best: number, given: number, kept: number): number {
  return Math.max(best * (1 - given), best >= kept ? kept : 0);
}
