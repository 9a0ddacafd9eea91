import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Drift, driftOf as driftOfNights, nightMedian } from '../../server/trend/drift.ts';
import { cusumAbove, median, medianDeviation, robustSigma, theilSen } from '../../server/trend/statistics.ts';

describe('the statistics at their edges', () => {
  it('have no median of nothing', () => {
    for (const wrong of [median, medianDeviation, robustSigma]) expect(() => wrong([])).toThrow(RangeError);
    expect(cusumAbove([], 0, 1)).toEqual([]);
  });

  it('leave what they are given as it was', () => {
    const values = Object.freeze([3, 1, 2]);
    expect(median(values)).toBe(2);
    expect(median([4, 1, 3, 2])).toBe(2.5);
    expect(median([-10, 9])).toBe(-0.5);
  });

  it('sort by size, not as text', () => {
    expect(median([10, 9, 100])).toBe(10);
  });

  it('have no line through one point, or through points above one another', () => {
    expect(theilSen([])).toBeNull();
    expect(theilSen([[1, 1]])).toBeNull();
    expect(
      theilSen([
        [1, 1],
        [1, 5],
      ]),
    ).toBeNull();
  });

  it('find any line again, with three points in ten wild', () => {
    const whole = fc.integer({ min: -50, max: 50 });
    fc.assert(
      fc.property(
        whole,
        whole,
        fc.array(fc.integer({ min: -10_000, max: 10_000 }), { maxLength: 5 }),
        (a, b, wild) => {
          const points = Array.from({ length: 20 }, (_, x) => [x, wild[x] ?? a + b * x] as const);
          const line = theilSen(points)!;
          expect(line.slope).toBeCloseTo(b, 9);
        },
      ),
      { seed: 31 },
    );
  });
});

/** Seeded noise of standard deviation 1. */
function noise(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

const LIMIT = 12_000;

interface TravelTime {
  readonly ms: number;
  readonly nightIndex: number;
}

/** Every run's time, gathered by night as the desk does at each night's end. */
function driftOf(times: readonly TravelTime[], limitMs: number): Drift | null {
  const byNight = new Map<number, number[]>();
  for (const t of times) byNight.set(t.nightIndex, [...(byNight.get(t.nightIndex) ?? []), t.ms]);
  const medians = [...byNight].flatMap(([night, list]) => {
    const ms = nightMedian(list);
    return ms === null ? [] : [{ night, ms }];
  });
  return driftOfNights(medians, limitMs);
}

/** Twenty runs a night: 7 s at first, so much more each night, scattered by 200 ms. */
function nights(count: number, msPerNight: number, seed = 1, scatterMs = 200, nightMs = 60): TravelTime[] {
  const z = noise(seed);
  return Array.from({ length: count }, (_, nightIndex) => {
    const base = 7_000 + msPerNight * nightIndex + z() * nightMs;
    return Array.from({ length: 20 }, () => ({ nightIndex, ms: base + z() * scatterMs }));
  }).flat();
}

describe('drift', () => {
  it('is seen in time, with the nights that are left', () => {
    const found = driftOf(nights(20, 150), LIMIT)!;
    // On the twentieth night the line stands at 7000 + 19 · 150 = 9850 ms: 14 whole nights from 12000 ms.
    expect(Math.abs(found.nowMs - 9_850)).toBeLessThan(100);
    expect(Math.abs(found.slopeMsPerNight - 150)).toBeLessThan(15);
    expect(Math.abs(found.nightsLeft - 14)).toBeLessThanOrEqual(2);
    expect(found).toMatchObject({ limitMs: LIMIT, nights: 12 });
  });

  it('counts exactly where nothing is scattered', () => {
    const exact = nights(8, 500, 1, 0, 0);
    expect(driftOf(exact, LIMIT)).toEqual({
      nightsLeft: 3,
      slopeMsPerNight: 500,
      nowMs: 10_500,
      fromMs: 7_000,
      limitMs: LIMIT,
      nights: 8,
    });
    expect(driftOf(exact, 10_000)?.nightsLeft).toBe(0);
  });

  it('is found wherever the nights are counted from', () => {
    const shifted = nights(20, 150).map((t) => ({ ...t, nightIndex: t.nightIndex + 1_000 }));
    expect(driftOf(shifted, LIMIT)?.nightsLeft).toBe(driftOf(nights(20, 150), LIMIT)?.nightsLeft);
  });

  it('is found in nearly every season that has one, before half of the way is gone', () => {
    let found = 0;
    for (let seed = 1; seed <= 100; seed += 1) {
      // 12000 ms is reached on the 34th night.
      if (driftOf(nights(17, 150, seed), LIMIT)) found += 1;
    }
    expect(found).toBeGreaterThanOrEqual(98);
  });

  it('is no matter of a season without one: at most one false alarm in a hundred seasons', () => {
    let alarms = 0;
    for (let seed = 1; seed <= 100; seed += 1) {
      const season = nights(40, 0, seed, 500, 100);
      const told = Array.from({ length: 40 }, (_, last) =>
        driftOf(
          season.filter((t) => t.nightIndex <= last),
          LIMIT,
        ),
      );
      if (told.some((drift) => drift !== null)) alarms += 1;
    }
    expect(alarms).toBeLessThanOrEqual(1);
  });

  it('is not made by a few slow runs, nor by one bad night', () => {
    const slowRuns = nights(12, 0).map((t, i) => (i % 7 === 0 ? { ...t, ms: 11_500 } : t));
    expect(driftOf(slowRuns, LIMIT)).toBeNull();
    for (const bad of [0, 6, 11]) {
      const badNight = nights(12, 0).map((t) => (t.nightIndex === bad ? { ...t, ms: 11_000 } : t));
      expect(driftOf(badNight, LIMIT), `night ${bad}`).toBeNull();
    }
  });

  it('is not told of what gets faster, of what is far off, or too early', () => {
    expect(driftOf(nights(20, -100), LIMIT)).toBeNull();
    expect(driftOf(nights(20, 20), LIMIT)).toBeNull();
    expect(driftOf(nights(5, 700), LIMIT)).toBeNull();
    expect(driftOf([], LIMIT)).toBeNull();
    expect(driftOf(nights(1, 0), LIMIT)).toBeNull();
  });

  it('leaves out nights with too few runs', () => {
    const thin = nights(20, 300).filter((_, i) => i % 20 < 2);
    expect(driftOf(thin, LIMIT)).toBeNull();
  });

  it('ends with the first night after the repair, and stays ended', () => {
    const season = nights(30, 150).map((t) => (t.nightIndex >= 20 ? { ...t, ms: 7_000 + (t.ms % 100) } : t));
    const told = Array.from({ length: 30 }, (_, last) =>
      driftOf(
        season.filter((t) => t.nightIndex <= last),
        LIMIT,
      ),
    );
    expect(told.slice(14, 20).every((drift) => drift !== null)).toBe(true);
    expect(told.slice(20).every((drift) => drift === null)).toBe(true);
  });

  it('forgets what was repaired, and sees wear that begins after many good nights', () => {
    const repaired = nights(70, 0).map((t) =>
      t.nightIndex < 50 ? { ...t, ms: 7_000 + 90 * t.nightIndex } : t,
    );
    expect(driftOf(repaired, LIMIT)).toBeNull();
    const late = nights(70, 0).map((t) => ({ ...t, ms: t.ms + 200 * Math.max(0, t.nightIndex - 60) }));
    // On the last night it stands at 7000 + 9 · 200 = 8800 ms: 16 nights from 12000 ms at that rate.
    expect(Math.abs(driftOf(late, LIMIT)!.nightsLeft - 16)).toBeLessThanOrEqual(3);
  });

  it('is not made of nights that jump about, though a line through them rises', () => {
    // The line rises by 300 ms a night and would be at the limit in nine.
    const medians = [7_000, 9_000, 7_200, 9_300, 7_900, 9_900];
    const jumping = medians.flatMap((ms, nightIndex) => [0, 1, 2].map(() => ({ ms, nightIndex })));
    expect(theilSen(medians.map((ms, i) => [i, ms] as const))!.slope).toBe(300);
    expect(driftOf(jumping, LIMIT)).toBeNull();
    const rising = jumping.map((t) => ({ ...t, ms: 7_000 + 300 * t.nightIndex }));
    expect(driftOf(rising, LIMIT)).not.toBeNull();
  });
});
