import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readClockTime, writeClockTime } from '../../server/file/clock-times.ts';

describe('clock times', () => {
  it.each([
    ['22:30', { kind: 'clock', hour: 22, minute: 30 }],
    ['00:00', { kind: 'clock', hour: 0, minute: 0 }],
    ['sunset', { kind: 'sun', event: 'sunset', offsetMs: 0 }],
    ['sunset + 20 min', { kind: 'sun', event: 'sunset', offsetMs: 1_200_000 }],
    ['sunset+20min', { kind: 'sun', event: 'sunset', offsetMs: 1_200_000 }],
    ['dusk - 10 min', { kind: 'sun', event: 'dusk', offsetMs: -600_000 }],
    ['dusk + 1.5 h', { kind: 'sun', event: 'dusk', offsetMs: 5_400_000 }],
  ])('reads %s', (text, expected) => {
    expect(readClockTime(text)).toEqual({ ok: true, value: expected });
  });

  it.each([
    ['7:30 pm', 'is on a twelve-hour clock', '"19:30"'],
    ['12 am', 'is on a twelve-hour clock', '"00:00"'],
    ['12:15 pm', 'is on a twelve-hour clock', '"12:15"'],
    ['9:30', 'is not written `HH:MM`', '"09:30"'],
    ['22.30', 'is not written `HH:MM`', '"22:30"'],
    ['22:30:00', 'is not written `HH:MM`', '"22:30"'],
    [1830, 'is a number, not a time', '"18:30"'],
    [1350, 'is a number, not a time', '"13:50"'],
    ['24:00', 'is midnight, which is written `00:00`', '"00:00"'],
    ['25:00', 'is no time of day', '"18:00"'],
    ['12:60', 'is no time of day', '"18:00"'],
    ['sunrise', 'is a morning time: only `sunset` and `dusk` are known', 'sunset'],
    ['sunset + 20', ': the time after `+` has no unit', 'sunset + 20 min'],
    ['sunset - 7 h', 'is more than 6 h away from the sun', 'sunset - 1 h'],
    ['sunset 20 min', 'has more beside the sun than `+` or `-` a time', 'sunset + 20 min'],
    ['late', 'is not a time of day', '"18:00"'],
    [null, 'is not a time', '"18:00"'],
  ])('refuses %j', (raw, what, example) => {
    const read = readClockTime(raw);
    expect(read.ok ? read : [read.complaint.what, read.complaint.example]).toEqual([what, example]);
  });

  it('reads back what it wrote', () => {
    const clock = fc.record({ kind: fc.constant('clock' as const), hour: fc.nat(23), minute: fc.nat(59) });
    const sun = fc.record({
      kind: fc.constant('sun' as const),
      event: fc.constantFrom('sunset' as const, 'dusk' as const),
      offsetMs: fc.integer({ min: -360, max: 360 }).map((m) => m * 60_000),
    });
    fc.assert(
      fc.property(fc.oneof(clock, sun), (time) => {
        const read = readClockTime(writeClockTime(time));
        // Hours are written with two decimals: a fifth of a minute.
        if (read.ok && read.value.kind === 'sun' && time.kind === 'sun') {
          expect(read.value.event).toBe(time.event);
          expect(Math.abs(read.value.offsetMs - time.offsetMs)).toBeLessThanOrEqual(18_000);
        } else expect(read).toEqual({ ok: true, value: time });
      }),
    );
  });
});
