/**
 * Statistics for travel times: robust where one odd run must not count, charts where a slow change must be seen.
 * Pure. Empty input is a mistake of the caller and throws a RangeError.
 */

/** 1/Φ⁻¹(¾): the median absolute deviation of normal noise times this is its standard deviation. */
export const MAD_TO_SIGMA = 1.482602218505602;

/** The middle value; of an even number the mean of the two in the middle. */
export function median(values: readonly number[]): number {
  if (values.length === 0) throw new RangeError('no median of nothing');
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

/** Median absolute deviation from the median, in the unit of the values. */
export function medianDeviation(values: readonly number[]): number {
  const centre = median(values);
  return median(values.map((value) => Math.abs(value - centre)));
}

/** Standard deviation estimated so that up to half of the values may be wild. */
export function robustSigma(values: readonly number[]): number {
  return MAD_TO_SIGMA * medianDeviation(values);
}

/** Exponentially weighted moving average after each value: z = λ·x + (1 − λ)·z, from `start`. */
export function ewma(values: readonly number[], lambda: number, start: number): number[] {
  let z = start;
  return values.map((value) => {
    z = lambda * value + (1 - lambda) * z;
    return z;
  });
}

/** Control limits of an EWMA in the long run: centre ± k·σ·√(λ/(2 − λ)). */
export function ewmaLimits(
  centre: number,
  sigma: number,
  lambda: number,
  k: number,
): { readonly low: number; readonly high: number } {
  const reach = k * sigma * Math.sqrt(lambda / (2 - lambda));
  return { low: centre - reach, high: centre + reach };
}

export interface Cusum {
  /** max(0, high + x − target − k) after each value. */
  readonly high: readonly number[];
  /** max(0, low + target − k − x) after each value. */
  readonly low: readonly number[];
  /** Index of the first value after which either is above h; null if none. */
  readonly signal: number | null;
}

/** Two-sided tabular CUSUM: sums of what lies beyond `k` from the target, in the unit of the values. */
export function cusum(values: readonly number[], target: number, k: number, h: number): Cusum {
  const high: number[] = [];
  const low: number[] = [];
  let signal: number | null = null;
  for (const [i, value] of values.entries()) {
    high.push(Math.max(0, (high[i - 1] ?? 0) + value - target - k));
    low.push(Math.max(0, (low[i - 1] ?? 0) + target - k - value));
    if (signal === null && (high[i]! > h || low[i]! > h)) signal = i;
  }
  return { high, low, signal };
}

export interface Line {
  readonly slope: number;
  readonly intercept: number;
}

/**
 * Theil–Sen line: the median of the slopes of all pairs, through the medians (intercept = med y − slope·med x). Nearly
 * a third of the points may be wild. Takes n² steps: for nights, not for runs. Null where all x are equal.
 */
export function theilSen(points: readonly (readonly [x: number, y: number])[]): Line | null {
  const slopes: number[] = [];
  for (const [i, [x1, y1]] of points.entries()) {
    for (const [x2, y2] of points.slice(i + 1)) {
      if (x1 !== x2) slopes.push((y2 - y1) / (x2 - x1));
    }
  }
  if (slopes.length === 0) return null;
  const slope = median(slopes);
  return { slope, intercept: median(points.map(([, y]) => y)) - slope * median(points.map(([x]) => x)) };
}
