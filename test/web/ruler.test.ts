import { describe, expect, it } from 'vitest';
import { clockChangeOf, offsetAt, placedIn, stretchOf, ticksOf, unplannedIn } from '../../web/ruler.ts';
import { shortClockOf } from '../../web/time.ts';
import { EVENING } from '../browser/hand-pictures.ts';
import { plan } from '../browser/hand-plan.ts';

const NY = 'America/New_York';
const MIN = 60_000;
const HOUR = 60 * MIN;
const at = (text: string) => Date.parse(text);

describe('marks of the clock', () => {
  it('stand at round local times', () => {
    const stretch = { fromMs: at('2026-10-31T20:58:10-04:00'), toMs: at('2026-10-31T21:58:10-04:00') };
    expect(ticksOf(stretch, NY, 4).map((ms) => shortClockOf(ms, NY))).toEqual([
      '21:00',
      '21:15',
      '21:30',
      '21:45',
    ]);
  });

  it('do so in a zone that lies 45 minutes off the hour (IANA tz: Asia/Kathmandu is UTC+05:45)', () => {
    const stretch = { fromMs: at('2026-10-31T20:10:00+05:45'), toMs: at('2026-10-31T23:10:00+05:45') };
    const clocks = ticksOf(stretch, 'Asia/Kathmandu', 4).map((ms) => shortClockOf(ms, 'Asia/Kathmandu'));
    expect(clocks).toEqual(['21:00', '22:00', '23:00']);
  });

  it('tell an hour twice where the clocks go back, at instants an hour apart', () => {
    const stretch = { fromMs: at('2026-11-01T00:30:00-04:00'), toMs: at('2026-11-01T02:30:00-05:00') };
    const ticks = ticksOf(stretch, NY, 4);
    expect(ticks.map((ms) => shortClockOf(ms, NY))).toEqual(['01:00', '01:00', '02:00']);
    expect(ticks[1]! - ticks[0]!).toBe(HOUR);
  });

  it('are never more than asked for', () => {
    for (const hours of [0.5, 1, 3, 7, 12, 24]) {
      const stretch = {
        fromMs: at('2026-10-31T17:03:00-04:00'),
        toMs: at('2026-10-31T17:03:00-04:00') + hours * HOUR,
      };
      const ticks = ticksOf(stretch, NY, 5);
      expect(ticks.length, `${hours} h`).toBeLessThanOrEqual(6);
      expect(ticks.length, `${hours} h`).toBeGreaterThanOrEqual(2);
    }
  });
});

describe('the clock change', () => {
  it('is found at 06:00 UTC on 1 November 2026 in New York (US 15 U.S.C. 260a: first Sunday of November, 2 a.m.)', () => {
    const night = { fromMs: at('2026-10-31T18:00:00-04:00'), toMs: at('2026-11-01T03:00:00-05:00') };
    expect(clockChangeOf(night, NY)).toEqual({ atMs: at('2026-11-01T06:00:00Z'), byMs: -HOUR });
  });

  it('is found forward in spring, by half an hour on Lord Howe Island (IANA tz), and nowhere else', () => {
    // 4 October 2026, 02:00 standard time (UTC+10:30), which is 15:30 UTC the day before.
    const lord = { fromMs: at('2026-10-03T12:10:00Z'), toMs: at('2026-10-03T20:00:00Z') };
    expect(clockChangeOf(lord, 'Australia/Lord_Howe')).toEqual({
      atMs: at('2026-10-03T15:30:00Z'),
      byMs: 30 * MIN,
    });
    const plain = { fromMs: at('2026-10-30T18:00:00-04:00'), toMs: at('2026-10-31T03:00:00-04:00') };
    expect(clockChangeOf(plain, NY)).toBe(null);
  });

  it('is not told before its time comes into view', () => {
    const before = { fromMs: at('2026-11-01T05:10:00Z'), toMs: at('2026-11-01T05:50:00Z') };
    expect(clockChangeOf(before, NY)).toBe(null);
  });

  it('reads offsets to the second', () => {
    expect(offsetAt(at('2026-07-01T00:00:00.400Z'), NY)).toBe(-4 * HOUR);
    expect(offsetAt(at('2026-12-01T00:00:00Z'), NY)).toBe(-5 * HOUR);
  });
});

describe('the stretch', () => {
  const night = { fromMs: 0, toMs: 4 * HOUR };
  it('moves under now, which stands still', () => {
    for (const now of [HOUR, 2 * HOUR]) {
      const { fromMs, toMs } = stretchOf('hour', night, now, 0);
      expect((now - fromMs) / (toMs - fromMs)).toBeCloseTo(0.3);
      expect(toMs - fromMs).toBe(HOUR);
    }
    expect(stretchOf('hour', night, HOUR, HOUR).fromMs).toBe(stretchOf('hour', night, 2 * HOUR, 0).fromMs);
  });
  it('can be the whole night', () => {
    const { fromMs, toMs } = stretchOf('night', night, HOUR, 0);
    expect(fromMs).toBeLessThan(0);
    expect(toMs).toBeGreaterThan(4 * HOUR);
  });
});

describe('runs on the ruler', () => {
  const made = plan();
  const open = Date.parse(made.open);
  const whole = { fromMs: open, toMs: Date.parse(made.close) };

  it('never lie over one another in a lane', () => {
    const placed = placedIn(made, whole, open, () => true);
    expect(placed).toHaveLength(made.runs.length);
    for (const lane of new Set(placed.map((one) => one.lane))) {
      const mine = placed.filter((one) => one.lane === lane);
      for (let n = 1; n < mine.length; n += 1)
        expect(mine[n]!.planned.fromMs).toBeGreaterThanOrEqual(mine[n - 1]!.planned.toMs);
    }
    expect(Math.max(...placed.map((one) => one.lane))).toBe(1);
  });

  it('are those of the scenes and the stretch', () => {
    const stretch = { fromMs: open + HOUR, toMs: open + HOUR + 10 * MIN };
    const placed = placedIn(made, stretch, open, (scene) => scene === 'crossing');
    expect(placed.length).toBeGreaterThan(0);
    for (const { run, planned } of placed) {
      expect(run.scene).toBe('crossing');
      expect(planned.toMs >= stretch.fromMs && planned.fromMs <= stretch.toMs).toBe(true);
    }
  });

  it('reach to now while they run', () => {
    const run = { ...made.runs[0]!, state: 'running' as const, actualStart: open + 5000, actualEnd: null };
    const [placed] = placedIn({ ...made, runs: [run] }, whole, open + 20_000, () => true);
    expect(placed!.actual).toEqual({ fromMs: open + 5000, toMs: open + 20_000 });
  });
});

describe('runs on no plan on the ruler', () => {
  const made = plan();
  const whole = { fromMs: Date.parse(made.open) - HOUR, toMs: Date.parse(made.close) };
  const every = (scene: string) => scene !== '';

  it('are all there, of their zone’s scenes, in the stretch', () => {
    const all = unplannedIn(made, whole, EVENING, every);
    expect(all.map(({ run }) => run.id)).toEqual(made.unplanned.map(({ id }) => id));
    const crossing = unplannedIn(made, whole, EVENING, (scene) => scene === 'crossing');
    expect(crossing.map(({ run }) => run.origin)).toEqual(['hand', 'hand']);
    const late = { fromMs: at('2026-10-31T21:08:00-05:00'), toMs: at('2026-10-31T21:10:00-05:00') };
    expect(unplannedIn(made, late, EVENING, every).map(({ run }) => run.id)).toEqual([
      '2026-10-31.crossing.44',
      '2026-10-31.porch-scare.69',
    ]);
  });

  it('reach to now while they run, and only as far as is known where they were cut off', () => {
    const [running] = unplannedIn(made, whole, EVENING, (scene) => scene === 'crossing').slice(-1);
    expect(running!.actual.toMs).toBe(EVENING);
    const run = { ...made.unplanned[0]!, state: 'abandoned' as const, actualEnd: null };
    const [cut] = unplannedIn({ unplanned: [run] }, whole, EVENING, every);
    expect(cut!.actual).toEqual({ fromMs: run.actualStart, toMs: run.actualStart });
  });

  it('lie in lanes of their own, two at a time in two', () => {
    const [first] = made.unplanned;
    const two = [first!, { ...first!, id: 'x', actualStart: first!.actualStart + 1000 }];
    expect(unplannedIn({ unplanned: two }, whole, EVENING, every).map(({ lane }) => lane)).toEqual([0, 1]);
    expect(new Set(unplannedIn(made, whole, EVENING, every).map(({ lane }) => lane))).toEqual(new Set([0]));
  });
});
