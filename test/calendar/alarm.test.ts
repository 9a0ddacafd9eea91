import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type Alarm, startAlarm } from '../../server/calendar/alarm.ts';
import type { NightEntry, Yard } from '../../server/yard/types.ts';
import { at, entry, iso, utc, yard } from './yard.ts';

const MINUTE = 60_000;
let alarm: Alarm | undefined;

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  alarm?.stop();
  vi.useRealTimers();
});

/** What was told, and when, from one instant to another with nobody asking in between. */
async function between(place: Yard, from: string, to: string, drawn: string[] = []): Promise<string[]> {
  const told: string[] = [];
  vi.setSystemTime(utc(from));
  alarm = startAlarm({
    yard: place,
    nowMs: () => Date.now(),
    drawn,
    due: (night) => told.push(`${night.date} at ${iso(Date.now())}`),
  });
  await vi.advanceTimersByTimeAsync(utc(to) - utc(from));
  return told;
}

const early: NightEntry = entry({ prepare: '30 1 * * *', open: at('10:00'), close: at('11:00') });

describe('the alarm for prepare', () => {
  it('rings at the minute, once a night', async () => {
    expect(await between(yard([entry()]), '2026-10-30T12:00:00Z', '2026-11-01T12:00:00Z')).toEqual([
      '2026-10-30 at 2026-10-30T21:00:00.000Z',
      '2026-10-31 at 2026-10-31T21:00:00.000Z',
    ]);
  });

  it('rings once, at the first of the two, on 1 November 2026 in Chicago', async () => {
    // 01:30 CDT is 06:30Z; the clock goes back at 07:00Z (tzdb rule US 2007, first Sunday of November, 02:00).
    expect(await between(yard([early]), '2026-10-31T17:00:00Z', '2026-11-02T12:00:00Z')).toEqual([
      '2026-11-01 at 2026-11-01T06:30:00.000Z',
      '2026-11-02 at 2026-11-02T07:30:00.000Z',
    ]);
  });

  it('rings once, at the first of the two, on 25 October 2026 in Berlin', async () => {
    // 02:30 CEST is 00:30Z; the clock goes back at 01:00Z (tzdb rule EU 1996, last Sunday of October, 01:00 UTC).
    const berlin = yard([{ ...early, prepare: '30 2 * * *' }], {
      timezone: 'Europe/Berlin',
      latitude: 52.5,
      longitude: 13.4,
    });
    expect(await between(berlin, '2026-10-24T12:00:00Z', '2026-10-26T12:00:00Z')).toEqual([
      '2026-10-25 at 2026-10-25T00:30:00.000Z',
      '2026-10-26 at 2026-10-26T01:30:00.000Z',
    ]);
  });

  it('rings in the hour after the clock went back', async () => {
    // 02:05 EST on 1 November 2026 is 07:05Z: the library's own pattern is silent from 06:00Z to 07:00Z.
    const place = yard([{ ...early, prepare: '5 2 * * *' }], { timezone: 'America/New_York' });
    expect(await between(place, '2026-11-01T05:00:00Z', '2026-11-01T12:00:00Z')).toEqual([
      '2026-11-01 at 2026-11-01T07:05:00.000Z',
    ]);
  });

  it('rings at once when it starts late, and not again for what was drawn before', async () => {
    const place = yard([entry()]);
    expect(await between(place, '2026-10-31T23:30:00Z', '2026-11-01T02:00:00Z')).toEqual([
      '2026-10-31 at 2026-10-31T23:30:00.000Z',
    ]);
    alarm?.stop();
    expect(await between(place, '2026-10-31T23:30:00Z', '2026-11-01T02:00:00Z', ['2026-10-31'])).toEqual([]);
    alarm?.stop();
    // After close there is nothing left to prepare.
    expect(await between(place, '2026-11-01T03:30:00Z', '2026-11-01T12:00:00Z')).toEqual([]);
  });

  it('is made up for by a check when the clock was turned back and the library sleeps', async () => {
    const told: string[] = [];
    vi.setSystemTime(utc('2026-10-31T21:59:30Z'));
    alarm = startAlarm({
      yard: yard([entry({ prepare: '0 17 * * *' })]),
      nowMs: () => Date.now(),
      due: (night) => told.push(night.date),
    });
    vi.setSystemTime(utc('2026-10-31T20:59:30Z'));
    await vi.advanceTimersByTimeAsync(30 * MINUTE);
    vi.setSystemTime(utc('2026-10-31T22:10:00Z'));
    await vi.advanceTimersByTimeAsync(5 * MINUTE);
    expect(told).toEqual([]);
    alarm.check();
    expect(told).toEqual(['2026-10-31']);
  });

  it('does not ring twice when the clock is turned back over prepare', async () => {
    const told: string[] = [];
    vi.setSystemTime(utc('2026-10-31T21:59:30Z'));
    alarm = startAlarm({
      yard: yard([entry({ prepare: '0 17 * * *' })]),
      nowMs: () => Date.now(),
      due: (night) => told.push(night.date),
    });
    await vi.advanceTimersByTimeAsync(5 * MINUTE);
    vi.setSystemTime(utc('2026-10-31T21:30:00Z'));
    alarm.check();
    await vi.advanceTimersByTimeAsync(90 * MINUTE);
    alarm.check();
    expect(told).toEqual(['2026-10-31']);
  });

  it('keeps still once stopped', async () => {
    const told: string[] = [];
    vi.setSystemTime(utc('2026-10-31T20:30:00Z'));
    alarm = startAlarm({
      yard: yard([entry()]),
      nowMs: () => Date.now(),
      due: (night) => told.push(night.date),
    });
    alarm.stop();
    await vi.advanceTimersByTimeAsync(60 * MINUTE);
    expect(told).toEqual([]);
    expect(vi.getTimerCount()).toBe(0);
  });
});
