import { describe, expect, it } from 'vitest';
import { nextNight, nightAt, nightNamed, preparedNight, upcoming } from '../../server/calendar/find.ts';
import { findNight, nightOn } from '../../server/calendar/night.ts';
import { whyNoNight } from '../../server/calendar/why.ts';
import { at, entry, iso, sun, utc, yard } from './yard.ts';

const saltmarsh = yard(
  [
    entry({ prepare: '0 15 31 10 *', open: sun('sunset', 20), close: at('00:30'), quiet: at('23:00') }),
    entry({ prepare: '0 16 * 10 fri,sat', open: sun('sunset', 20), quiet: at('21:00'), opens: 'by hand' }),
  ],
  { dark: ['2026-10-17'] },
);

describe('the night of a date', () => {
  it('is made by the first entry whose prepare falls on it', () => {
    // Chicago, 31 Oct 2026: sunset 17:45:49 CDT (computed with astronomy-engine 2.1.19), so 17:46, so open 18:06.
    expect(nightOn(saltmarsh, '2026-10-31')).toEqual({
      date: '2026-10-31',
      prepareMs: utc('2026-10-31T15:00:00-05:00'),
      openMs: utc('2026-10-31T18:06:00-05:00'),
      closeMs: utc('2026-11-01T00:30:00-05:00'),
      quietMs: utc('2026-10-31T23:00:00-05:00'),
      opensByItself: true,
      noticeMs: 30_000,
      noticeScene: null,
    });
    expect(findNight(saltmarsh, '2026-10-31')).toMatchObject({ entry: 0 });
    expect(findNight(saltmarsh, '2026-10-30')).toMatchObject({ entry: 1, night: { opensByItself: false } });
  });

  it('is none on a dark date, without an entry, and for what is no date', () => {
    expect(findNight(saltmarsh, '2026-10-17')).toEqual({ night: null, why: { code: 'dark', entry: 1 } });
    expect(findNight(saltmarsh, '2026-10-18')).toEqual({ night: null, why: { code: 'no-entry' } });
    for (const text of ['2026-02-30', '2026-10-31-hand', 'tonight', '2026-1-1', '']) {
      expect(findNight(saltmarsh, text).why, text).toEqual({ code: 'not-a-date' });
      expect(nightNamed(saltmarsh, text)).toBeNull();
    }
  });

  it('takes close at or before open, and quiet before open, for the next day', () => {
    const night = (close: string, quiet: string) => {
      const found = nightOn(
        yard([entry({ open: at('20:00'), close: at(close), quiet: at(quiet) })]),
        '2026-10-10',
      )!;
      return [iso(found.closeMs), iso(found.quietMs)];
    };
    // CDT is UTC-5.
    expect(night('23:00', '22:00')).toEqual(['2026-10-11T04:00:00.000Z', '2026-10-11T03:00:00.000Z']);
    expect(night('01:00', '00:15')).toEqual(['2026-10-11T06:00:00.000Z', '2026-10-11T05:15:00.000Z']);
    expect(night('20:00', '20:00')).toEqual(['2026-10-12T01:00:00.000Z', '2026-10-11T01:00:00.000Z']);
    expect(night('19:59', '19:59')).toEqual(['2026-10-12T00:59:00.000Z', '2026-10-12T00:59:00.000Z']);
  });

  it('takes a close or quiet of the sun as the instant it is, even past midnight', () => {
    const late = yard([entry({ open: sun('sunset'), close: sun('sunset', 7 * 60), quiet: sun('dusk') })]);
    const night = nightOn(late, '2026-10-31')!;
    expect(night.closeMs - night.openMs).toBe(7 * 3_600_000);
    expect(iso(night.closeMs)).toBe('2026-11-01T05:46:00.000Z');
    expect(night.quietMs! - night.openMs).toBe(29 * 60_000);
  });

  it('opens at the other time where the sun does not set, and says so where there is none', () => {
    // Midsummer in the far north (Longyearbyen, 78°13'N 15°38'E): the sun is up all day (USNO table 2020).
    const place = { timezone: 'Arctic/Longyearbyen', latitude: 78.2167, longitude: 15.6333 };
    const sunny = entry({ open: sun('sunset', 20) });
    expect(findNight(yard([sunny], place), '2020-06-21').why).toEqual({
      code: 'no-sun',
      entry: 0,
      key: 'open',
      event: 'sunset',
    });
    const night = nightOn(yard([{ ...sunny, fallbackOpen: at('18:30') }], place), '2020-06-21')!;
    expect(iso(night.openMs)).toBe('2020-06-21T16:30:00.000Z');
    const byDusk = yard([entry({ quiet: sun('dusk') })], place);
    expect(findNight(byDusk, '2020-06-21').why).toMatchObject({
      code: 'no-sun',
      key: 'quiet',
      event: 'dusk',
    });
  });

  it('refuses to open before it is prepared, or on another date', () => {
    const late = yard([entry({ prepare: '0 18 * * *' })]);
    expect(findNight(late, '2026-10-31').why).toMatchObject({ code: 'prepare-late' });
    const over = yard([entry({ open: sun('sunset', 7 * 60) })]);
    expect(findNight(over, '2026-10-31').why).toMatchObject({ code: 'open-other-day' });
    const before = yard([entry({ open: sun('sunset', -20 * 60), prepare: '0 0 * * *' })]);
    expect(findNight(before, '2026-10-31').why).toMatchObject({ code: 'open-other-day' });
  });
});

describe('why a date has no night', () => {
  it('is a sentence that names the date', () => {
    const told = (date: string): string => whyNoNight(saltmarsh, date, findNight(saltmarsh, date).why!);
    expect(told('2026-10-17')).toBe('2026-10-17 has no show: it stands under dark.');
    expect(told('2026-10-18')).toBe('2026-10-18 has no show: no entry of nights has a prepare on it.');
    expect(told('31 October')).toBe('"31 October" is no date; write it as 2026-10-31.');
    const late = yard([entry({ prepare: '0 18 * * *' })]);
    expect(whyNoNight(late, '2026-10-31', findNight(late, '2026-10-31').why!)).toContain(
      'prepare is at 18:00 and open at 18:00',
    );
  });
});

describe('finding nights', () => {
  const openMs = utc('2026-10-31T18:06:00-05:00');
  const closeMs = utc('2026-11-01T00:30:00-05:00');

  it('holds from open to before close', () => {
    expect(nightAt(saltmarsh, openMs - 1)).toBeNull();
    expect(nightAt(saltmarsh, openMs)?.date).toBe('2026-10-31');
    expect(nightAt(saltmarsh, closeMs - 1)?.date).toBe('2026-10-31');
    expect(nightAt(saltmarsh, closeMs)).toBeNull();
  });

  it('holds on the second day after, where a close of the sun reaches so far', () => {
    // Sunset is about a quarter past six there, so it closes a little after midnight of the second day after.
    const long = yard([entry({ prepare: '0 23 10 10 *', open: at('23:50'), close: sun('sunset', 30 * 60) })]);
    const { closeMs } = nightOn(long, '2026-10-10')!;
    expect(closeMs).toBeGreaterThan(utc('2026-10-12T00:10:00-05:00'));
    expect(nightAt(long, utc('2026-10-12T00:10:00-05:00'))?.date).toBe('2026-10-10');
  });

  it('is prepared from prepare to before close', () => {
    const prepareMs = utc('2026-10-31T15:00:00-05:00');
    expect(preparedNight(saltmarsh, prepareMs - 1)).toBeNull();
    expect(preparedNight(saltmarsh, prepareMs)?.date).toBe('2026-10-31');
    expect(preparedNight(saltmarsh, closeMs - 1)?.date).toBe('2026-10-31');
    expect(preparedNight(saltmarsh, closeMs)).toBeNull();
  });

  it('finds the next, over dark dates and over the year', () => {
    const names = upcoming(saltmarsh, utc('2026-10-15T12:00:00Z'), 4).map((night) => night.date);
    expect(names).toEqual(['2026-10-16', '2026-10-23', '2026-10-24', '2026-10-30']);
    expect(nextNight(saltmarsh, openMs - 1)?.date).toBe('2026-10-31');
    expect(nextNight(saltmarsh, openMs)?.date).toBe('2027-10-01');
    expect(upcoming(saltmarsh, openMs, 2).map((night) => night.date)).toEqual(['2026-10-31', '2027-10-01']);
    expect(upcoming(saltmarsh, closeMs, 1).map((night) => night.date)).toEqual(['2027-10-01']);
  });

  it('finds a night that comes in leap years only, and gives up on none at all', () => {
    const leap = yard([entry({ prepare: '0 16 29 2 *' })]);
    expect(nextNight(leap, utc('2097-01-01T00:00:00Z'))?.date).toBe('2104-02-29');
    expect(nextNight(yard([]), openMs)).toBeNull();
    expect(upcoming(yard([]), openMs, 3)).toEqual([]);
  });
});
