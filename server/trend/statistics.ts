/**
 * Statistics for travel times: robust where one odd run must not count, a chart where a slow change must be seen.
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

/**
 * One-sided CUSUM, after each value: max(0, sum + x − target − k), what lies beyond `k` above the target, in the unit
 * of the values. Mirrored values give the other side.
 */
export function cusumAbove(values: readonly number[], target: number, k: number): number[] {
  let sum = 0;
  return values.map((value) => {
    sum = Math.max(0, sum + value - target - k);
    return sum;
  });
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
