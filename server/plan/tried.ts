import type { Score } from './score.ts';

/**
 * What of the level, and of the worth, is given for evenness: a guest who comes at nine does not mind that one run
 * of fifty is lacking, but that a scene is not to be seen for an hour.
 */
const LEVEL_GIVEN = 0.01;
const WORTH_GIVEN = 0.01;

/** A level of this share of the highest that there can be is not gone below for evenness, where it was reached. */
const LEVEL_KEPT = 0.95;

/** A schedule that was found, and how good it is. */
export interface Tried {
  readonly starts: readonly (readonly number[])[];
  readonly score: Score;
}

/**
 * The most even of those that come near the best level and, of these, near the best worth; where all that is wanted
 * is planned in some, one of these. Levels above the ceiling count as it, since another part can't follow.
 */
export function mostEven(tried: readonly Tried[], ceiling: number): Tried {
  const given = tried.some((t) => t.score.level === 1) ? 0 : 1;
  const levelOf = (t: Tried) => Math.min(ceiling, t.score.level);
  const level = Math.max(...tried.map(levelOf));
  const kept = LEVEL_KEPT * ceiling;
  const least = Math.max(level * (1 - given * LEVEL_GIVEN), level >= kept ? kept : 0);
  const high = tried.filter((t) => levelOf(t) >= least - 1e-9);
  const worth = Math.max(...high.map((t) => t.score.worth));
  const good = high.filter((t) => t.score.worth >= worth * (1 - given * WORTH_GIVEN) - 1e-9);
  return good.reduce((a, b) => (b.score.uneven < a.score.uneven ? b : a));
}
