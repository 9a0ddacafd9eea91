import fc from 'fast-check';
import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { nightAt } from '../../server/calendar/find.ts';
import { nightOn } from '../../server/calendar/night.ts';
import { addDays, instantOf, wallOf } from '../../server/calendar/wall.ts';
import { at, entry, iso, sun, utc, yard } from '../calendar/yard.ts';

const HOUR = 3_600_000;
const NEW_YORK = 'America/New_York';

describe('RFC 5545, 3.3.5', () => {
  it('a local time that comes twice is the first of the two', () => {
    // The RFC's own example: TZID=America/New_York:20071104T013000 is 01:30 EDT, UTC-04:00.
    expect(iso(instantOf(NEW_YORK, '2007-11-04', 1, 30))).toBe('2007-11-04T05:30:00.000Z');
  });

  it('a local time that does not come goes by the offset before the gap', () => {
    // The RFC's own example: TZID=America/New_York:20070311T023000 is 03:30 EDT, UTC-04:00.
    expect(iso(instantOf(NEW_YORK, '2007-03-11', 2, 30))).toBe('2007-03-11T07:30:00.000Z');
  });
});

/** The day of the month of the nth (or, with n = -1, the last) Sunday, by arithmetic alone. */
function sunday(year: number, month: number, n: number): number {
  const last = new Date(Date.UTC(year, month, 0)).getUTCDate();
  const sundays: number[] = [];
  for (let day = 1; day <= last; day += 1) {
    if (new Date(Date.UTC(year, month - 1, day)).getUTCDay() === 0) sundays.push(day);
  }
  return sundays.at(n < 0 ? n : n - 1)!;
}

/** Whether the clock of a zone is put back by an hour at this instant. */
function goesBackAt(zone: string, ms: number): boolean {
  return wallOf(zone, ms - 1).offsetMs - wallOf(zone, ms).offsetMs === HOUR;
}

describe('the rules of the tz database', () => {
  it('US 2007 to max: back on the first Sunday of November at 02:00 of the wall clock', () => {
    const summer: [string, number][] = [
      [NEW_YORK, 4],
      ['America/Chicago', 5],
      ['America/Denver', 6],
      ['America/Los_Angeles', 7],
    ];
    for (let year = 2024; year <= 2037; year += 1) {
      for (const [zone, west] of summer) {
        const ms = Date.UTC(year, 10, sunday(year, 11, 1), 2 + west);
        expect(goesBackAt(zone, ms), `${zone} ${year}`).toBe(true);
      }
    }
    expect(goesBackAt(NEW_YORK, utc('2026-11-01T06:00:00Z'))).toBe(true);
    expect(goesBackAt('America/Phoenix', utc('2026-11-01T09:00:00Z'))).toBe(false);
  });

  it('EU 1996 to max: back on the last Sunday of October at 01:00 of UTC', () => {
    for (let year = 2024; year <= 2037; year += 1) {
      const ms = Date.UTC(year, 9, sunday(year, 10, -1), 1);
      for (const zone of ['Europe/Berlin', 'Europe/London', 'Europe/Paris', 'Europe/Helsinki']) {
        expect(goesBackAt(zone, ms), `${zone} ${year}`).toBe(true);
      }
    }
    expect(goesBackAt('Europe/Berlin', utc('2026-10-25T01:00:00Z'))).toBe(true);
  });

  it('puts the change into the small hours after Halloween in 2026 and 2037, in no other year to 2037', () => {
    const years: number[] = [];
    for (let year = 2026; year <= 2037; year += 1) {
      const night = nightOn(late, `${year}-10-31`)!;
      if (night.closeMs - night.openMs === 9 * HOUR) years.push(year);
    }
    expect(years).toEqual([2026, 2037]);
    expect([2027, 2032].map((year) => sunday(year, 10, -1))).toEqual([31, 31]);
  });

  it('makes 1 November 2026 in New York 25 hours long and 14 March 2027 23', () => {
    const length = (zone: string, date: string): number =>
      (instantOf(zone, addDays(date, 1), 0, 0) - instantOf(zone, date, 0, 0)) / HOUR;
    expect(length(NEW_YORK, '2026-11-01')).toBe(25);
    expect(length(NEW_YORK, '2027-03-14')).toBe(23);
    expect(length('Europe/Berlin', '2026-10-25')).toBe(25);
    expect(length('America/Phoenix', '2026-11-01')).toBe(24);
  });
});

// From 18:00 to 02:00: on the clock eight hours; 02:00 EST of 1 November 2026 is nine hours after 18:00 EDT.
const late = yard([entry({ open: at('18:00'), close: at('02:00'), quiet: at('00:30') })], {
  timezone: NEW_YORK,
});

describe('a night over the clock change', () => {
  it('is as long as it really is: 22:00 to 03:00 takes six hours (Temporal, until)', () => {
    const night = nightOn(
      yard([entry({ open: at('22:00'), close: at('03:00') })], { timezone: NEW_YORK }),
      '2026-10-31',
    )!;
    expect(night.closeMs - night.openMs).toBe(6 * HOUR);
    const start = Temporal.ZonedDateTime.from('2026-10-31T22:00[America/New_York]');
    const elapsed = start.until(Temporal.ZonedDateTime.from('2026-11-01T03:00[America/New_York]'));
    expect(elapsed.total('hours')).toBe(6);
  });

  it('holds through both of the repeated hours', () => {
    for (const text of ['2026-11-01T05:30:00Z', '2026-11-01T06:30:00Z']) {
      expect(nightAt(late, utc(text))?.date).toBe('2026-10-31');
    }
    expect(nightAt(late, utc('2026-11-01T07:00:00Z'))).toBeNull();
    const early = yard([entry({ open: at('18:00'), close: at('01:30') })], { timezone: NEW_YORK });
    // A close in the repeated hour is at the first of the two.
    expect(iso(nightOn(early, '2026-10-31')!.closeMs)).toBe('2026-11-01T05:30:00.000Z');
  });

  it('loses the hour in spring', () => {
    const night = nightOn(late, '2027-03-13')!;
    // 02:00 does not come on 14 March 2027 and counts by the offset before the gap: 03:00 EDT, eight hours on.
    expect(night.closeMs - night.openMs).toBe(8 * HOUR);
    const wider = yard([entry({ open: at('22:00'), close: at('04:00') })], { timezone: NEW_YORK });
    const short = nightOn(wider, '2027-03-13')!;
    expect(short.closeMs - short.openMs).toBe(5 * HOUR);
  });
});

const ZONES = [
  NEW_YORK,
  'America/Chicago',
  'America/St_Johns',
  'America/Phoenix',
  'Europe/London',
  'Europe/Berlin',
  'Australia/Sydney',
  'Australia/Lord_Howe',
  'Pacific/Auckland',
  'Asia/Kolkata',
];

/** What the clock shows, by Intl alone, as one sortable text. */
function intlWall(zone: string, ms: number): string {
  let format = formats.get(zone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-CA', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
    });
    formats.set(zone, format);
  }
  const part = Object.fromEntries(format.formatToParts(ms).map((p) => [p.type, p.value]));
  return `${part.year}-${part.month}-${part.day} ${part.hour}:${part.minute}`;
}
const formats = new Map<string, Intl.DateTimeFormat>();

/** RFC 5545 by trying every offset that the zone has within a day of the wall time: no use made of Temporal. */
function oracleMs(zone: string, date: string, hour: number, minute: number): number {
  const asUtc = Date.parse(`${date}T00:00:00Z`) + (hour * 60 + minute) * 60_000;
  const wanted = new Date(asUtc).toISOString().slice(0, 16).replace('T', ' ');
  const offsetAt = (ms: number): number => Date.parse(`${intlWall(zone, ms).replace(' ', 'T')}:00Z`) - ms;
  const offsets = [offsetAt(asUtc - 24 * HOUR), offsetAt(asUtc + 24 * HOUR)];
  const hits = offsets.map((o) => asUtc - o).filter((ms) => intlWall(zone, ms) === wanted);
  return hits.length > 0 ? Math.min(...hits) : asUtc - offsets[0]!;
}

const days = fc.integer({ min: 0, max: 12 * 365 + 2 }).map((n) => addDays('2026-01-01', n));
/** Half of them on the days around a clock change, in one of the years to 2037. */
const changes = fc
  .record({
    year: fc.integer({ min: 2026, max: 2037 }),
    by: fc.integer({ min: -1, max: 1 }),
    which: fc.nat(4),
  })
  .map(({ year, by, which }) => {
    const [month, n] = (
      [
        [3, 2],
        [11, 1],
        [3, -1],
        [10, -1],
        [4, 1],
      ] as const
    )[which]!;
    const day = String(sunday(year, month, n)).padStart(2, '0');
    return addDays(`${year}-${String(month).padStart(2, '0')}-${day}`, by);
  });
const wallTimes = fc.record({ hour: fc.nat(23), minute: fc.nat(59) });
const smallHours = fc.record({ hour: fc.nat(4), minute: fc.nat(59) });
const whens = fc.oneof(fc.tuple(days, wallTimes), fc.tuple(changes, smallHours));

describe('every zone and every year to 2037', () => {
  it('reads wall times as RFC 5545 says', () => {
    fc.assert(
      fc.property(fc.constantFrom(...ZONES), whens, (zone, [date, { hour, minute }]) => {
        expect(iso(instantOf(zone, date, hour, minute))).toBe(iso(oracleMs(zone, date, hour, minute)));
      }),
      { numRuns: 1_500, seed: 20261101 },
    );
  });

  it('makes nights that are in order, a day long at most, and found again by any instant of theirs', () => {
    const clock = wallTimes.map(({ hour, minute }) => at(`${hour}:${minute}`));
    fc.assert(
      fc.property(
        fc.constantFrom(...ZONES),
        whens.map(([date]) => date),
        fc.oneof(clock, fc.constant(sun('sunset', 20))),
        clock,
        fc.nat(999),
        (timezone, date, open, close, thousandths) => {
          // This one night only: a yard with a night on every date may have them overlap.
          const [month, day] = [Number(date.slice(5, 7)), Number(date.slice(8))];
          const place = yard([entry({ prepare: `0 0 ${day} ${month} *`, open, close })], {
            timezone,
            latitude: 40,
            longitude: wallOf(timezone, Date.parse(`${date}T12:00:00Z`)).offsetMs / 240_000,
          });
          const night = nightOn(place, date);
          // Open at midnight with prepare, or a close that the clock change puts at open: refused, never twisted.
          fc.pre(night !== null);
          expect(night.prepareMs).toBeLessThan(night.openMs);
          expect(night.openMs).toBeLessThan(night.closeMs);
          expect(night.closeMs - night.openMs).toBeLessThanOrEqual(25 * HOUR);
          const inside = night.openMs + Math.floor((thousandths * (night.closeMs - night.openMs)) / 1000);
          expect(nightAt(place, inside)?.date).toBe(date);
          expect(nightAt(place, night.closeMs)).toBeNull();
        },
      ),
      { numRuns: 1_000, seed: 20261031 },
    );
  });
});
