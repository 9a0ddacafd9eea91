import { describe, expect, it } from 'vitest';
import { handNight } from '../../server/calendar/hand.ts';
import { at, entry, iso, utc, yard } from './yard.ts';

const HOUR = 3_600_000;
const weekends = entry({ prepare: '0 16 * 10 fri,sat', noticeMs: 60_000, noticeScene: 'lanterns-up' });
const halloween = entry({ prepare: '0 16 31 10 *', close: at('23:00'), quiet: at('22:00') });
const place = yard([weekends, halloween]);

describe('a night by hand', () => {
  it('runs from now, for so long, under the first entry that has a quiet', () => {
    // A Wednesday without an entry.
    const now = utc('2026-10-14T15:00:00-05:00');
    expect(handNight(place, now, 2 * HOUR)).toEqual({
      date: '2026-10-14-hand',
      prepareMs: now,
      openMs: now,
      closeMs: now + 2 * HOUR,
      quietMs: utc('2026-10-14T22:00:00-05:00'),
      opensByItself: false,
      noticeMs: 60_000,
      noticeScene: 'lanterns-up',
    });
  });

  it('goes by tonight’s entry, which may have no quiet', () => {
    const friday = utc('2026-10-09T15:00:00-05:00');
    expect(handNight(place, friday, HOUR).quietMs).toBeNull();
  });

  it('is cut short at the next notice', () => {
    const now = utc('2026-10-09T17:00:00-05:00');
    const night = handNight(place, now, 4 * HOUR);
    expect(iso(night.closeMs)).toBe('2026-10-09T22:59:00.000Z');
    expect(handNight(place, now, HOUR / 2).closeMs).toBe(now + HOUR / 2);
  });

  it('gives back the night under way, or the one whose notice has begun', () => {
    expect(handNight(place, utc('2026-10-09T17:59:00-05:00'), HOUR).date).toBe('2026-10-09');
    expect(handNight(place, utc('2026-10-09T17:58:59-05:00'), HOUR).date).toBe('2026-10-09-hand');
    expect(handNight(place, utc('2026-10-09T20:00:00-05:00'), HOUR).date).toBe('2026-10-09');
    expect(handNight(place, utc('2026-10-09T22:30:00-05:00'), HOUR).date).toBe('2026-10-09-hand');
  });

  it('is quiet at once where quiet has begun, until the morning', () => {
    const quietAt = (text: string) => {
      const now = utc(text);
      return (handNight(place, now, HOUR).quietMs! - now) / HOUR;
    };
    expect(quietAt('2026-10-14T22:30:00-05:00')).toBe(0);
    expect(quietAt('2026-10-15T00:30:00-05:00')).toBe(0);
    expect(quietAt('2026-10-15T06:59:00-05:00')).toBe(0);
    expect(quietAt('2026-10-15T07:00:00-05:00')).toBe(15);
  });

  it('keeps a quiet that falls after midnight', () => {
    const late = yard([
      entry({ open: at('19:00'), close: at('02:00'), quiet: at('00:30'), prepare: '0 16 1 10 *' }),
    ]);
    expect(iso(handNight(late, utc('2026-10-14T23:30:00-05:00'), HOUR).quietMs)).toBe(
      '2026-10-15T05:30:00.000Z',
    );
    expect(iso(handNight(late, utc('2026-10-15T00:10:00-05:00'), HOUR).quietMs)).toBe(
      '2026-10-15T05:30:00.000Z',
    );
  });
});
