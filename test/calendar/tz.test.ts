import { describe, expect, it } from 'vitest';
import { tzCheck } from '../../server/calendar/tz.ts';

describe('the age of the time zone table', () => {
  // Releases 2026b (British Columbia) and 2026c (Alberta, Morocco) by the announcements of the tz database.
  it('is told where it is known to matter', () => {
    const old = tzCheck({ timezone: 'America/Vancouver' }, '2025c');
    expect(old.carried).toBe('2025c');
    expect(old.warning).toContain('America/Vancouver');
    expect(old.warning).toContain('2026b');
    expect(old.warning).toContain('has 2025c');
    expect(tzCheck({ timezone: 'America/Edmonton' }, '2026b').warning).toContain('2026c');
    expect(tzCheck({ timezone: 'Africa/Casablanca' }, '2026b').warning).toContain('Morocco');
    expect(tzCheck({ timezone: 'America/Edmonton' }, null).warning).toContain('does not say');
  });

  it('goes by the zone, not by its name', () => {
    expect(tzCheck({ timezone: 'Canada/Pacific' }, '2025c').warning).toContain('Canada/Pacific');
  });

  it('is no matter elsewhere, or with a table that is new enough', () => {
    expect(tzCheck({ timezone: 'America/Chicago' }, '2025c')).toEqual({ carried: '2025c', warning: null });
    expect(tzCheck({ timezone: 'America/Vancouver' }, '2026b').warning).toBeNull();
    expect(tzCheck({ timezone: 'America/Edmonton' }, '2027a').warning).toBeNull();
  });

  it('reads what this Node carries', () => {
    expect(tzCheck({ timezone: 'America/Chicago' }).carried).toBe(process.versions.tz);
  });
});
