import type { Score } from './score.ts';

/**
 * What of the level, and of the worth, is given for evenness: a guest who comes at nine does not mind that one run
 * of fifty is lacking, but that a scene is not to be seen for an hour.
 */
const LEVEL_GIVEN = 0.01;
const WORTH_GIVEN = 0.01;

/** These shares of the most that there can be are not gone below for evenness, where they were reached. */
const KEPT = { level: 0.95, worth: 0.97 };

/** A schedule that was found, and how good it is. */
export interface Tried {
  readonly starts: readonly (readonly number[])[];
  readonly score: Score;
}

/**
 * The most even of those that come near the best level and, of these, near the best worth; where all that is wanted
 * is planned in some, one of these.
 * @param cap what is reached by the worst part, if that is another: levels above it count as it
 * @param most the highest level that there can be, and the greatest worth
 */
export function mostEven(
  tried: readonly Tried[],
  cap: number,
  most: { readonly level: number; readonly worth: number },
): Tried {
  const given = tried.some((t) => t.score.level === 1) ? 0 : 1;
  const levelOf = (t: Tried) => Math.min(cap, t.score.level);
  const level = Math.max(...tried.map(levelOf));
  const leastLevel = leastOf(level, given * LEVEL_GIVEN, KEPT.level * most.level);
  const high = tried.filter((t) => levelOf(t) >= leastLevel - 1e-9);
  const worth = Math.max(...high.map((t) => t.score.worth));
  const leastWorth = leastOf(worth, given * WORTH_GIVEN, KEPT.worth * most.worth);
  const worthy = high.filter((t) => t.score.worth >= leastWorth - 1e-9);
  // Scenes without weight count for nothing in either.
  const spare = Math.max(...worthy.map((t) => t.score.spare));
  const good = worthy.filter((t) => t.score.spare >= spare * (1 - given * WORTH_GIVEN));
  return good.reduce((a, b) => (b.score.uneven < a.score.uneven ? b : a));
}

/** What is not gone below: a little less than the best, but not less than what is kept where that was reached. */
function leastOf(best: number, given: number, kept: number): number {
  return Math.max(best * (1 - given), best >= kept ? kept : 0);
}
