import { describe, expect, it } from 'vitest';
import { alarmRate, FLOOD_SHARE_MOST } from '../../server/report/alarms.ts';

/*
 * EEMUA 191, ISA-18.2 and IEC 62682 are not public. Their figures as reproduced in: the EEMUA 191 KPI grid of a leaflet
 * by TiPS; a white paper of M.A.C. Solutions (the origin of the figures and their editions). That a flood ends below
 * five in ten minutes, and 300 a day as the most, are from memory.
 */

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** So many alarms, evenly over a span. */
const evenly = (count: number, overMs: number, from = 0): number[] =>
  Array.from({ length: count }, (_, i) => from + (i * overMs) / count);

describe('the average', () => {
  it.each([
    // IEC 62682:2014: about 144 a day, which is 1 in ten minutes to the figure
    [144, DAY_MS, 1, 'well'],
    // EEMUA 191: 5 an hour, 120 a day
    [120, DAY_MS, 5 / 6, 'well'],
    [5, HOUR_MS, 5 / 6, 'well'],
    // ISA-18.2-2009: about 150 a day
    [150, DAY_MS, 150 / 144, 'well'],
    // twice that is the most that can be managed
    [288, DAY_MS, 2, 'at-most'],
    [300, DAY_MS, 300 / 144, 'at-most'],
    // the peak of the KPI grid, 15 an hour, kept up all day
    [360, DAY_MS, 2.5, 'too-many'],
  ] as const)('%i in %i ms is %d in ten minutes: %s', (count, overMs, perTenMinutes, load) => {
    const rate = alarmRate(evenly(count, overMs), 0, overMs);
    expect(rate.perTenMinutes).toBeCloseTo(perTenMinutes, 12);
    expect(rate).toMatchObject({ count, overMs, load, floods: [], floodShare: 0 });
  });

  it('leaves out what came before and after', () => {
    expect(alarmRate([-1, 0, 5, 10], 0, 10).count).toBe(2);
    expect(alarmRate([5], 10, 10)).toMatchObject({ count: 0, perTenMinutes: 0, floodShare: 0, load: 'well' });
  });
});

describe('a flood', () => {
  it('begins with ten alarms in ten minutes, wherever those lie, and not with nine', () => {
    const nine = alarmRate(evenly(9, 9 * MINUTE_MS, 7 * MINUTE_MS), 0, DAY_MS);
    expect(nine).toMatchObject({ floods: [], mostInTenMinutes: 9 });
    const ten = alarmRate(evenly(10, 10 * MINUTE_MS, 7 * MINUTE_MS), 0, DAY_MS);
    expect(ten.mostInTenMinutes).toBe(10);
    expect(ten.floods).toHaveLength(1);
    expect(ten.floods[0]).toMatchObject({ from: 16 * MINUTE_MS, alarms: 10 });
    // ten of which the last comes as the first is ten minutes old
    expect(alarmRate(evenly(9, 9 * MINUTE_MS).concat(10 * MINUTE_MS), 0, DAY_MS).floods).toEqual([]);
    expect(alarmRate(evenly(9, 9 * MINUTE_MS).concat(10 * MINUTE_MS - 1), 0, DAY_MS).floods).toHaveLength(1);
    // the eleventh minute: the first has left the window as the last comes
    expect(
      alarmRate(
        evenly(10, 10 * MINUTE_MS).map((t) => t * 1.2),
        0,
        DAY_MS,
      ).floods,
    ).toEqual([]);
  });

  it('ends once fewer than five came in the last ten minutes', () => {
    // one a minute from 0 to 9 min: at 15 min the alarms of 6, 7, 8 and 9 min are left
    expect(alarmRate(evenly(10, 10 * MINUTE_MS), 0, DAY_MS).floods).toEqual([
      { from: 9 * MINUTE_MS, to: 15 * MINUTE_MS, alarms: 10 },
    ]);
    // kept up at one in two minutes it goes on, since five come in ten minutes
    const kept = [...evenly(10, 10 * MINUTE_MS), ...evenly(10, 20 * MINUTE_MS, 10 * MINUTE_MS)];
    expect(alarmRate(kept, 0, DAY_MS).floods).toEqual([
      { from: 9 * MINUTE_MS, to: 30 * MINUTE_MS, alarms: 20 },
    ]);
  });

  it('comes again after it has ended, each told by itself, in whatever order the alarms are given', () => {
    const two = [...evenly(12, 6 * MINUTE_MS, 2 * HOUR_MS), ...evenly(10, 5 * MINUTE_MS)].reverse();
    expect(alarmRate(two, 0, DAY_MS).floods.map((f) => f.alarms)).toEqual([10, 12]);
  });

  it('should be less than one per cent of the time: 14.4 minutes a day', () => {
    const share = (floods: number): number =>
      alarmRate(
        Array.from({ length: floods }, (_, i) => evenly(10, 10 * MINUTE_MS, i * HOUR_MS)).flat(),
        0,
        DAY_MS,
      ).floodShare;
    expect(share(2)).toBeCloseTo(12 / 1440, 12);
    expect(share(2)).toBeLessThan(FLOOD_SHARE_MOST);
    expect(share(3)).toBeGreaterThan(FLOOD_SHARE_MOST);
  });

  it('that still lasts at the end is told up to there', () => {
    expect(alarmRate(evenly(10, 10 * MINUTE_MS), 0, 12 * MINUTE_MS).floods[0]?.to).toBe(12 * MINUTE_MS);
  });
});
