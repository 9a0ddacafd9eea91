import { describe, expect, it } from 'vitest';
import { checkNights } from '../../server/calendar/check.ts';
import type { Yard } from '../../server/yard/types.ts';
import { at, entry, sun, yard } from './yard.ts';

const codes = (place: Yard, from = 2026, to = from) =>
  checkNights(place, from, to).map((p) => `${p.entry} ${p.key} ${p.code} ${p.severity} ${p.date}`);

describe('the check of the nights', () => {
  it('finds nothing wrong with a yard that is right', () => {
    const right = [
      entry({ prepare: '0 15 31 10 *', open: sun('sunset', 20), close: at('00:30'), quiet: at('23:00') }),
      entry({ prepare: '0 16 * 10 fri,sat', open: sun('sunset', 20), quiet: at('21:00') }),
    ];
    expect(checkNights(yard(right), 2026, 2037)).toEqual([]);
  });

  it('finds nights that overlap, and says which', () => {
    const late = entry({ prepare: '0 9 * * *', open: at('10:00'), close: at('09:59') });
    expect(checkNights(yard([late]), 2026, 2026)).toMatchObject([
      { code: 'prepares-in-a-night', severity: 'warning' },
    ]);
    const over = [
      entry({ prepare: '0 16 30 10 *', close: at('17:00') }),
      entry({ prepare: '0 8 31 10 *', open: at('09:00') }),
    ];
    const [problem] = checkNights(yard(over), 2026, 2026);
    expect(problem).toMatchObject({ entry: 1, code: 'overlap', severity: 'error', date: '2026-10-31' });
    expect(problem!.text).toContain('2026-10-30 closes at 17:00');
    expect(problem!.text).toContain('opened at 09:00');
  });

  it('finds an overlap over New Year', () => {
    const over = [
      entry({ prepare: '0 16 31 12 *', close: at('17:00') }),
      entry({ prepare: '0 8 1 1 *', open: at('09:00') }),
    ];
    expect(codes(yard(over), 2027)).toContain('1 open overlap error 2027-01-01');
  });

  it('finds prepare after open, twice a day and unreadable', () => {
    expect(codes(yard([entry({ prepare: '0 19 * 10 *' })]))).toEqual([
      '0 prepare prepare-late error 2026-10-01',
    ]);
    expect(codes(yard([entry({ prepare: '0,5 16 * 10 *' })]))).toEqual(['0 prepare twice error null']);
    expect(codes(yard([entry({ prepare: 'daily' })]))).toEqual(['0 prepare unreadable error null']);
    // Only in early winter is sunset in Chicago before 16:30 (solar time; 4 Nov 2026 has 16:41 by the same tables).
    const drifting = codes(yard([entry({ prepare: '30 16 * * *', open: sun('sunset') })]));
    expect(drifting).toHaveLength(1);
    expect(drifting[0]).toMatch(/^0 prepare prepare-late error 2026-(01-01|11|12)/);
  });

  it('finds a sun that does not set', () => {
    const place = { timezone: 'America/Anchorage', latitude: 61.2167, longitude: -149.8667 };
    const byDusk = entry({ open: sun('dusk') });
    const problem = checkNights(yard([byDusk], place), 2020, 2020).find((p) => p.code === 'no-sun');
    // No civil dusk in Anchorage around midsummer: USNO table 2020 has //// there.
    expect(problem).toMatchObject({
      key: 'open',
      severity: 'error',
      date: expect.stringMatching(/^2020-0[56]/),
    });
    expect(problem!.text).toContain('fallback-open');
    const helped = checkNights(yard([{ ...byDusk, fallbackOpen: at('20:00') }], place), 2020, 2020);
    expect(helped.map((p) => p.code)).not.toContain('no-sun');
  });

  it('finds what the clock change upsets', () => {
    // 8 March 2026 in Chicago: 02:30 does not exist and counts as 03:30, after a close at 03:15.
    const gap = entry({ prepare: '0 1 * * *', open: at('02:30'), close: at('03:15') });
    expect(codes(yard([gap]))).toEqual(['0 close close-early error 2026-03-08']);
    expect(codes(yard([gap], { timezone: 'America/Phoenix' }))).toEqual([]);
  });

  it('warns of what can not be meant', () => {
    expect(codes(yard([entry({ noticeMs: 3 * 3_600_000 })]))).toEqual([
      '0 notice notice-before-prepare warning 2026-01-01',
    ]);
    expect(codes(yard([entry({ quiet: at('17:00') })]))).toEqual([
      '0 quiet quiet-after-close warning 2026-01-01',
    ]);
    expect(codes(yard([entry(), entry({ prepare: '0 16 31 10 *' })]))).toEqual([
      '1 prepare never warning null',
    ]);
    expect(codes(yard([entry({ prepare: '0 16 29 2 *' })]), 2026, 2027)).toEqual([
      '0 prepare never warning null',
    ]);
  });

  it('finds a night longer than a day', () => {
    const long = entry({ prepare: '0 9 1 10 *', open: at('10:00'), close: sun('sunset', 30 * 60) });
    expect(codes(yard([long]))).toEqual(['0 close too-long error 2026-10-01']);
  });
});
