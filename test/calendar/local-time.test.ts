import { describe, expect, it } from 'vitest';
import { localDate, localTime, rfc3339 } from '../../server/calendar/local-time.ts';
import { isDate, isTimezone } from '../../server/calendar/wall.ts';
import { utc } from './yard.ts';

const newYork = { timezone: 'America/New_York' };

describe('local times', () => {
  it('are the clock’s, with seconds where wanted', () => {
    expect(localTime(newYork, utc('2026-10-31T22:06:09Z'))).toBe('18:06');
    expect(localTime(newYork, utc('2026-10-31T22:06:09Z'), { seconds: true })).toBe('18:06:09');
    expect(localDate(newYork, utc('2026-11-01T03:59:59Z'))).toBe('2026-10-31');
    expect(localTime(newYork, utc('2026-11-01T04:00:00Z'))).toBe('00:00');
  });

  it('say which of two equal wall times is meant', () => {
    expect(localTime(newYork, utc('2026-11-01T05:30:00Z'))).toBe('01:30 (first)');
    expect(localTime(newYork, utc('2026-11-01T06:30:05Z'), { seconds: true })).toBe('01:30:05 (second)');
    expect(localTime(newYork, utc('2026-11-01T04:59:59Z'))).toBe('00:59');
    expect(localTime(newYork, utc('2026-11-01T05:00:00Z'))).toBe('01:00 (first)');
    expect(localTime(newYork, utc('2026-11-01T05:59:59.999Z'))).toBe('01:59 (first)');
    expect(localTime(newYork, utc('2026-11-01T06:00:00Z'))).toBe('01:00 (second)');
    expect(localTime(newYork, utc('2026-11-01T07:00:00Z'))).toBe('02:00');
  });

  it('are written as RFC 3339 with the offset that held then', () => {
    expect(rfc3339(newYork, utc('2026-11-01T05:30:00Z'))).toBe('2026-11-01T01:30:00-04:00');
    expect(rfc3339(newYork, utc('2026-11-01T06:30:00Z'))).toBe('2026-11-01T01:30:00-05:00');
    expect(rfc3339({ timezone: 'Asia/Kolkata' }, utc('2026-11-01T06:30:00.25Z'))).toBe(
      '2026-11-01T12:00:00.250+05:30',
    );
    expect(rfc3339({ timezone: 'Etc/UTC' }, utc('2026-11-01T06:30:00Z'))).toBe('2026-11-01T06:30:00+00:00');
  });

  it('come back as the same instant from RFC 3339', () => {
    for (let ms = utc('2026-10-31T00:00:00Z'); ms < utc('2026-11-02T00:00:00Z'); ms += 1_234_567) {
      expect(Date.parse(rfc3339(newYork, ms))).toBe(ms);
    }
  });
});

describe('dates and zones', () => {
  it('are real or refused', () => {
    expect(isDate('2024-02-29')).toBe(true);
    for (const text of ['2026-02-29', '2026-13-01', '2026-00-10', '26-01-01', '2026-10-31 ', '']) {
      expect(isDate(text), text).toBe(false);
    }
    expect(isTimezone('America/Chicago')).toBe(true);
    for (const name of ['Saltmarsh/Landing', '+05:00', '', 'America/'])
      expect(isTimezone(name), name).toBe(false);
  });
});
