import { Body, MakeTime, Observer, SearchAltitude, SearchRiseSet } from 'astronomy-engine';
import { getTimes } from 'suncalc';
import { describe, expect, it } from 'vitest';
import { rfc3339 } from '../../server/calendar/local-time.ts';
import { nightOn } from '../../server/calendar/night.ts';
import { sunMs } from '../../server/calendar/sun.ts';
import { addDays, instantOf } from '../../server/calendar/wall.ts';
import { entry, sun, utc, yard } from '../calendar/yard.ts';

/**
 * Sunset and civil dusk against the minute tables of the US Naval Observatory (USNO), the example printed with NREL's
 * Solar Position Algorithm, and astronomy-engine 2.1.19 (MIT) as an independent calculation.
 *
 * Tolerance: the published value is rounded to the minute (30 s) and ours too (30 s): 60 s up to 62 degrees of
 * latitude, 90 s beyond, where the sun sets so flat that seconds of arc are many seconds of time.
 */
const toleranceS = (latitude: number): number => (Math.abs(latitude) <= 62 ? 60 : 90);

interface Place {
  readonly timezone: string;
  readonly latitude: number;
  readonly longitude: number;
}

const degrees = (whole: number, minutes: number): number =>
  Math.sign(whole) * (Math.abs(whole) + minutes / 60);

const ANCHORAGE: Place = {
  timezone: 'America/Anchorage',
  latitude: degrees(61, 13),
  longitude: degrees(-149, 52),
};
const BRASILIA: Place = {
  timezone: 'America/Sao_Paulo',
  latitude: degrees(-15, 48),
  longitude: degrees(-47, 51),
};
const SINGAPORE: Place = {
  timezone: 'Asia/Singapore',
  latitude: degrees(1, 17),
  longitude: degrees(103, 50),
};
const AUCKLAND: Place = {
  timezone: 'Pacific/Auckland',
  latitude: degrees(-36, 50),
  longitude: degrees(174, 48),
};
const FLORIDA: Place = { timezone: 'America/New_York', latitude: 29, longitude: -81 };
const SIXTY_NORTH: Place = { timezone: 'Etc/UTC', latitude: 60, longitude: 0 };
const MAUNA_KEA: Place = {
  timezone: 'Pacific/Honolulu',
  latitude: degrees(19, 49),
  longitude: degrees(-155, 29),
};
const LONGYEARBYEN: Place = {
  timezone: 'Arctic/Longyearbyen',
  latitude: degrees(78, 13),
  longitude: degrees(15, 38),
};
const GOLDEN: Place = { timezone: 'America/Denver', latitude: 39.742476, longitude: -105.1786 };

type Row = readonly [
  place: Place,
  date: string,
  event: 'sunset' | 'dusk',
  local: string | null,
  source: string,
];

const ROWS: readonly Row[] = [
  [ANCHORAGE, '2020-10-31', 'sunset', '17:58', 'USNO table 2020'],
  [ANCHORAGE, '2020-10-31', 'dusk', '18:46', 'USNO table 2020'],
  [ANCHORAGE, '2020-06-20', 'sunset', '23:42', 'USNO table 2020'],
  [ANCHORAGE, '2020-06-20', 'dusk', null, 'USNO table 2020, ////'],
  [ANCHORAGE, '2020-12-21', 'sunset', '15:42', 'USNO table 2020'],
  [BRASILIA, '2020-10-31', 'sunset', '18:15', 'USNO table 2020'],
  [BRASILIA, '2023-10-31', 'dusk', '18:37', 'USNO table 2023'],
  [SINGAPORE, '2020-10-31', 'sunset', '18:51', 'USNO table 2020'],
  [SINGAPORE, '2023-10-31', 'dusk', '19:12', 'USNO table 2023'],
  [AUCKLAND, '2020-10-31', 'sunset', '19:53', 'USNO table 2020'],
  [AUCKLAND, '2023-10-31', 'dusk', '20:20', 'USNO table 2023'],
  [FLORIDA, '2019-10-31', 'sunset', '18:39', 'USNO, as reproduced in the tests of cosinekitty/astronomy'],
  [SIXTY_NORTH, '2019-10-31', 'sunset', '16:08', 'USNO, as reproduced in the tests of cosinekitty/astronomy'],
  [MAUNA_KEA, '2003-07-15', 'sunset', '19:04', 'USNO, as reproduced in the tests of Astro::Coords'],
  [MAUNA_KEA, '2003-07-15', 'dusk', '19:28', 'USNO, as reproduced in the tests of Astro::Coords'],
  [LONGYEARBYEN, '2020-12-01', 'sunset', null, 'USNO table 2020, ---- (down all day)'],
  [LONGYEARBYEN, '2020-06-21', 'sunset', null, 'USNO table 2020, **** (up all day)'],
];

describe('sunset and civil dusk as published', () => {
  for (const [place, date, event, local, source] of ROWS) {
    it(`${event} on ${date} at ${place.timezone}: ${local ?? 'none'} (${source})`, () => {
      const found = sunMs(place, date, event);
      if (local === null) {
        expect(found).toBeNull();
        return;
      }
      const published = instantOf(place.timezone, date, Number(local.slice(0, 2)), Number(local.slice(3)));
      expect(found! % 60_000).toBe(0);
      expect(Math.abs(found! - published) / 1000).toBeLessThanOrEqual(toleranceS(place.latitude));
    });
  }
});

describe('the local evening, not the date of UTC', () => {
  /**
   * spa_tester.c of NREL's SPA prints, for 17 October 2003 at Golden, UTC-7: sunset 17:20:19. It reckons by the day of
   * UTC, and that is the evening of the 16th there; the 17th has 17:18:51 by astronomy-engine. Denver then kept UTC-6.
   */
  const printed = utc('2003-10-16T17:20:19-07:00');

  it('gives the sunset that NREL printed to the date it belongs to', () => {
    expect(Math.abs(sunMs(GOLDEN, '2003-10-16', 'sunset')! - printed) / 1000).toBeLessThanOrEqual(60);
    const next = sunMs(GOLDEN, '2003-10-17', 'sunset')!;
    expect(Math.abs(next - utc('2003-10-17T17:18:51-07:00')) / 1000).toBeLessThanOrEqual(60);
  });

  it('to the second, before rounding', () => {
    const noon = new Date(instantOf(GOLDEN.timezone, '2003-10-16', 12, 0));
    const exact = getTimes(noon, GOLDEN.latitude, GOLDEN.longitude).sunset!;
    expect(Math.abs(exact.getTime() - printed) / 1000).toBeLessThanOrEqual(10);
  });

  it('sets on the date asked for, at every place that people live in', () => {
    const far: Place[] = [
      GOLDEN,
      MAUNA_KEA,
      AUCKLAND,
      SINGAPORE,
      // The clock is far from the sun in these: UTC+14 on the other side of the date line, one zone for all of China.
      { timezone: 'Pacific/Kiritimati', latitude: 1.87, longitude: -157.43 },
      { timezone: 'Pacific/Apia', latitude: -13.83, longitude: -171.77 },
      { timezone: 'Pacific/Pago_Pago', latitude: -14.28, longitude: -170.7 },
      { timezone: 'Asia/Shanghai', latitude: 39.47, longitude: 75.99 },
    ];
    for (const place of far) {
      for (let day = 0; day < 366; day += 1) {
        const date = addDays('2026-01-01', day);
        expect(rfc3339(place, sunMs(place, date, 'sunset')!).slice(0, 10), place.timezone).toBe(date);
      }
    }
  });
});

/** The first fall through the altitude after local noon by astronomy-engine, ms since 1970; null if none in a day. */
function oracleMs(place: Place, date: string, event: 'sunset' | 'dusk'): number | null {
  const noon = MakeTime(new Date(instantOf(place.timezone, date, 12, 0)));
  const observer = new Observer(place.latitude, place.longitude, 0);
  const found =
    event === 'sunset'
      ? SearchRiseSet(Body.Sun, observer, -1, noon, 1)
      : SearchAltitude(Body.Sun, observer, -1, noon, 1, -6);
  return found?.date.getTime() ?? null;
}

describe('sunset and civil dusk against astronomy-engine', () => {
  for (const event of ['sunset', 'dusk'] as const) {
    it(`${event}: within 60 s from 60 S to 62 N, every latitude, season and a spread of years`, () => {
      let worstS = 0;
      let compared = 0;
      for (let latitude = -60; latitude <= 62; latitude += 6.1) {
        for (let day = 0; day < 12 * 365; day += 73) {
          const longitude = ((day * 37) % 360) - 180;
          const place: Place = { timezone: zoneNear(longitude), latitude, longitude };
          const date = addDays('2026-01-05', day);
          const oracle = oracleMs(place, date, event);
          const ours = sunMs(place, date, event);
          // Midsummer nights beyond 60 degrees have no civil dusk; both must say so.
          if (oracle === null || ours === null) {
            expect(ours, `${latitude} ${date}`).toBe(oracle);
            continue;
          }
          compared += 1;
          worstS = Math.max(worstS, Math.abs(ours - oracle) / 1000);
        }
      }
      expect(compared).toBeGreaterThan(1_100);
      expect(worstS).toBeLessThanOrEqual(60);
    });
  }

  /**
   * On the days on which the sun begins or ceases to set it only grazes the horizon, and no two ways of reckoning agree
   * (minutes apart, or one has a sunset and the other none): three days either side are left out of the tolerance.
   */
  it('sunset: within 90 s from 63 to 70 degrees, but for the days on which the season turns', () => {
    let worstS = 0;
    let compared = 0;
    let disagreed = 0;
    for (const latitude of [63, 64.8, 66, 67.5, 69, 70]) {
      const place: Place = { timezone: 'Etc/UTC', latitude, longitude: 0 };
      const dates = Array.from({ length: 3 * 365 }, (_, day) => addDays('2026-01-01', day));
      const oracle = dates.map((date) => oracleMs(place, date, 'sunset'));
      for (const [i, date] of dates.entries()) {
        const ours = sunMs(place, date, 'sunset');
        if ((ours === null) !== (oracle[i] === null)) disagreed += 1;
        const turning = oracle.slice(Math.max(0, i - 3), i + 4).includes(null);
        if (turning || ours === null) continue;
        compared += 1;
        worstS = Math.max(worstS, Math.abs(ours - oracle[i]!) / 1000);
      }
    }
    expect(compared).toBeGreaterThan(5_000);
    expect(disagreed).toBeLessThanOrEqual(0.01 * compared);
    expect(worstS).toBeLessThanOrEqual(90);
  });

  it('opens Saltmarsh Landing on Halloween by them', () => {
    // Chicago: sunset 17:45:49 in 2026 and 17:46:08 in 2027, both CDT (astronomy-engine 2.1.19).
    const place = yard([entry({ open: sun('sunset', 20) })]);
    expect(rfc3339(place, nightOn(place, '2026-10-31')!.openMs)).toBe('2026-10-31T18:06:00-05:00');
    expect(rfc3339(place, nightOn(place, '2027-10-31')!.openMs)).toBe('2027-10-31T18:06:00-05:00');
  });
});

/** A zone whose noon is near the sun's: the signs of these names are those of POSIX, west positive. */
function zoneNear(longitude: number): string {
  const hours = Math.round(longitude / 15);
  if (hours === 0) return 'Etc/UTC';
  return `Etc/GMT${hours > 0 ? '-' : '+'}${Math.abs(hours)}`;
}
