import { describe, expect, it } from 'vitest';
import {
  cusumAbove,
  MAD_TO_SIGMA,
  median,
  medianDeviation,
  robustSigma,
  theilSen,
} from '../../server/trend/statistics.ts';

/** Standard normal, seeded: a linear congruential generator (Numerical Recipes' constants) through Box and Muller. */
function normals(seed: number, count: number): number[] {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
  return Array.from(
    { length: count },
    () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()),
  );
}

describe('CUSUM: NIST/SEMATECH e-Handbook 6.3.2.3 (figures as reproduced elsewhere and from memory)', () => {
  const x = [
    324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15,
    328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
  ];
  const target = 325;
  const k = 0.3175;
  const h = 4.1959;
  const high = cusumAbove(x, target, k);
  const low = cusumAbove(
    x.map((value) => 2 * target - value),
    target,
    k,
  );

  it('sums as the handbook’s table does', () => {
    const told = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04];
    for (const [i, value] of told.entries()) expect(Math.abs(high[i]! - value)).toBeLessThanOrEqual(0.006);
    expect(high.at(-1)).toBeCloseTo(19.035, 9);
  });

  it('sums the other side as the table does, from mirrored values', () => {
    // The first eleven as recomputed from the recursion; then the sum stays at nothing.
    const told = [0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.715, 0.1725, 0.255, 0.3125];
    for (const [i, value] of told.entries()) expect(low[i]!).toBeCloseTo(value, 9);
    expect(low.slice(11).every((value) => value === 0)).toBe(true);
  });

  it('signals first at group 14, and stays', () => {
    expect(high.findIndex((sum) => sum > h)).toBe(13);
    expect(high.slice(13).every((sum) => sum > h)).toBe(true);
    expect(low.every((sum) => sum <= h)).toBe(true);
  });
});

describe('median and MAD', () => {
  it('{1, 1, 2, 2, 4, 6, 9}: median 2, MAD 1 (example of an encyclopedia’s article, from memory)', () => {
    expect(median([1, 1, 2, 2, 4, 6, 9])).toBe(2);
    expect(medianDeviation([1, 1, 2, 2, 4, 6, 9])).toBe(1);
    expect(robustSigma([1, 1, 2, 2, 4, 6, 9])).toBe(MAD_TO_SIGMA);
  });

  it('scales by 1/Φ⁻¹(¾), the definition', () => {
    // Half of a normal population lies within 0.6745 sigma: erf(0.6745/√2) = ½, by its series.
    const z = 1 / MAD_TO_SIGMA / Math.SQRT2;
    let term = z;
    let sum = z;
    for (let n = 1; n < 40; n += 1) {
      term *= (-z * z) / n;
      sum += term / (2 * n + 1);
    }
    expect((2 / Math.sqrt(Math.PI)) * sum).toBeCloseTo(0.5, 14);
  });

  it('recovers sigma from normal noise, a fifth of it wild', () => {
    const noise = normals(7, 4_000).map((z, i) => (i % 5 === 0 ? 500 : 10 + 2 * z));
    // The plain standard deviation of these would be near 200.
    expect(robustSigma(noise)).toBeGreaterThan(2);
    expect(robustSigma(noise)).toBeLessThan(3);
    expect(robustSigma(normals(8, 4_000).map((z) => 10 + 2 * z))).toBeCloseTo(2, 0);
  });
});

describe('Theil–Sen: the example of Helsel and Hirsch, Statistical Methods in Water Resources, ch. 10 (from memory)', () => {
  const points = [1, 2, 3, 4, 5, 16, 7].map((y, i) => [i + 1, y] as const);

  it('has the median of the 21 slopes, 1, through the origin', () => {
    expect(theilSen(points)).toEqual({ slope: 1, intercept: 0 });
  });

  it('where least squares is led astray by one point', () => {
    // Ordinary least squares of the same points: slope 1.714286, intercept -1.428571.
    const n = points.length;
    const sx = points.reduce((s, [x]) => s + x, 0);
    const sy = points.reduce((s, [, y]) => s + y, 0);
    const sxy = points.reduce((s, [x, y]) => s + x * y, 0);
    const sxx = points.reduce((s, [x]) => s + x * x, 0);
    const slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
    expect(slope).toBeCloseTo(1.714286, 6);
    expect((sy - slope * sx) / n).toBeCloseTo(-1.428571, 6);
  });
});

describe('false alarms', () => {
  it('a Shewhart chart at three sigma runs 370 points between them (1/(2·(1 − Φ(3))) = 370.398)', () => {
    // Of 400 000 in-control points about 1080 lie outside: four standard errors are 12 %.
    const outside = normals(11, 400_000).filter((z) => Math.abs(z) > 3).length;
    expect(Math.abs(400_000 / outside / 370.398 - 1)).toBeLessThan(0.12);
  });

  it('a two-sided CUSUM with k = ½ and h = 5 runs about 465 (Montgomery, Statistical Quality Control, from memory)', () => {
    const noise = normals(13, 400_000);
    let alarms = 0;
    for (let from = 0; from < noise.length; ) {
      const span = noise.slice(from, from + 5_000);
      const sides = [span, span.map((z) => -z)].map((side) => cusumAbove(side, 0, 0.5));
      const signal = span.findIndex((_, i) => sides.some((sums) => sums[i]! > 5));
      if (signal < 0) break;
      alarms += 1;
      from += signal + 1;
    }
    expect(Math.abs(400_000 / alarms / 465 - 1)).toBeLessThan(0.15);
  });
});
