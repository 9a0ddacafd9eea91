import { cusum, median, robustSigma, theilSen } from './statistics.ts';

/** One move's travel on one of the yard's nights, which are counted from any start. Homing is no part of it. */
export interface TravelTime {
  readonly ms: number;
  readonly nightIndex: number;
}

export interface Drift {
  /** Nights from the last one on until the trend reaches the limit; 0 if it is there. Whole nights, rounded down. */
  readonly nightsLeft: number;
  readonly slopeMsPerNight: number;
  /** Where the trend stands on the last night. */
  readonly nowMs: number;
  readonly limitMs: number;
  /** On how many nights it rests. */
  readonly nights: number;
}

/** Fewer times in a night say little about it. */
const RUNS_A_NIGHT = 3;
const FEWEST_NIGHTS = 6;
/** Older nights are left out, so that a repair is forgotten and wear that begins late is not drowned. */
const MOST_NIGHTS = 12;
/** Farther off is no news: a season has about as many nights as this. */
const HORIZON_NIGHTS = 20;
/** The usual settings of a CUSUM for a shift of one sigma, in sigmas (common practice, no source). */
const SLACK = 0.5;
const BOUND = 5;

/**
 * Whether a travel time trends toward its limit, null if it does not: the medians of the nights have risen beyond
 * their own noise (CUSUM against where the Theil–Sen line begins), and on that line the limit is at most
 * `HORIZON_NIGHTS` away. A single slow run, or a single bad night, does not make a drift.
 */
export function driftOf(times: readonly TravelTime[], limitMs: number): Drift | null {
  const nights = nightMedians(times).slice(-MOST_NIGHTS);
  const line = nights.length < FEWEST_NIGHTS ? null : theilSen(nights);
  if (!line || line.slope <= 0) return null;

  const along = (night: number): number => line.intercept + line.slope * night;
  const sigma = robustSigma(nights.map(([night, ms]) => ms - along(night)));
  const risen = cusum(
    nights.map(([, ms]) => ms),
    along(nights[0]![0]),
    SLACK * sigma,
    BOUND * sigma,
  );
  if (risen.high.at(-1)! <= BOUND * sigma) return null;

  const nowMs = along(nights.at(-1)![0]);
  const nightsLeft = Math.max(0, Math.floor((limitMs - nowMs) / line.slope));
  if (nightsLeft > HORIZON_NIGHTS) return null;
  return { nightsLeft, slopeMsPerNight: line.slope, nowMs, limitMs, nights: nights.length };
}

/** The median time of each night that has enough of them, in order of the nights. */
function nightMedians(times: readonly TravelTime[]): (readonly [night: number, ms: number])[] {
  const byNight = new Map<number, number[]>();
  for (const { nightIndex, ms } of times) {
    const night = byNight.get(nightIndex);
    if (night) night.push(ms);
    else byNight.set(nightIndex, [ms]);
  }
  return [...byNight]
    .filter(([, list]) => list.length >= RUNS_A_NIGHT)
    .map(([night, list]) => [night, median(list)] as const)
    .sort(([a], [b]) => a - b);
}
