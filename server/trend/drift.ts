import { cusumAbove, median, robustSigma, theilSen } from './statistics.ts';

/** One move's middle travel time of one night. The yard's nights are counted from any start. */
export interface NightMedian {
  readonly night: number;
  readonly ms: number;
}

export interface Drift {
  /** Nights from the last one on until the trend reaches the limit; 0 if it is there. Whole nights, rounded down. */
  readonly nightsLeft: number;
  readonly slopeMsPerNight: number;
  /** Where the trend stands on the last night. */
  readonly nowMs: number;
  /** Where it stood on the first of the nights that it rests on. */
  readonly fromMs: number;
  readonly limitMs: number;
  /** On how many nights it rests. */
  readonly nights: number;
}

/** Fewer times in a night say little about it. */
const RUNS_A_NIGHT = 3;
const FEWEST_NIGHTS = 6;
/** Older nights are left out, so that a repair is forgotten and wear that begins late is not drowned. */
export const MOST_NIGHTS = 12;
/** Farther off is no news: a season has about as many nights as this. */
const HORIZON_NIGHTS = 20;
/** The usual settings of a CUSUM for a shift of one sigma, in sigmas (common practice, no source). */
const SLACK = 0.5;
const BOUND = 5;

/** The middle of a night's travel times of one move, ms, homing left out; null where they are too few to tell. */
export function nightMedian(times: readonly number[]): number | null {
  return times.length < RUNS_A_NIGHT ? null : median(times);
}

/**
 * Whether a travel time trends toward its limit, null if it does not: the medians of the nights, which are in order,
 * have risen beyond their own noise (CUSUM against where the Theil–Sen line begins), and on that line the limit is at
 * most `HORIZON_NIGHTS` away. A single bad night does not make a drift; a last night that is back by half of the rise
 * ends one, since somebody has seen to it.
 */
export function driftOf(medians: readonly NightMedian[], limitMs: number): Drift | null {
  const nights = medians.slice(-MOST_NIGHTS);
  const line = nights.length < FEWEST_NIGHTS ? null : theilSen(nights.map(({ night, ms }) => [night, ms]));
  if (!line || line.slope <= 0) return null;

  const along = (night: number): number => line.intercept + line.slope * night;
  const last = nights.at(-1)!;
  const fromMs = along(nights[0]!.night);
  const nowMs = along(last.night);
  const sigma = robustSigma(nights.map(({ night, ms }) => ms - along(night)));
  const risen = cusumAbove(
    nights.map(({ ms }) => ms),
    fromMs,
    SLACK * sigma,
  );
  if (risen.at(-1)! <= BOUND * sigma || last.ms < (fromMs + nowMs) / 2) return null;

  const nightsLeft = Math.max(0, Math.floor((limitMs - nowMs) / line.slope));
  if (nightsLeft > HORIZON_NIGHTS) return null;
  return { nightsLeft, slopeMsPerNight: line.slope, nowMs, fromMs, limitMs, nights: nights.length };
}
