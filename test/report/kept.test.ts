import { describe, expect, it } from 'vitest';
import { KeptReports } from '../../server/report/kept.ts';
import { SAMPLE } from './sample.ts';

describe('a report asked for again and again', () => {
  it('is made once in five seconds of tonight, and once a minute of a past night', () => {
    const kept = new KeptReports();
    let made = 0;
    const make = () => {
      made += 1;
      return { ...SAMPLE, open: made };
    };
    const at = (now: number, tonight: boolean): number => kept.of('2026-10-31', tonight, now, make)!.open;
    expect([at(0, true), at(4999, true), at(5000, true)]).toEqual([1, 1, 2]);
    // when the night is over it is a past one
    expect([at(10_000, false), at(69_999, false), at(70_000, false)]).toEqual([3, 3, 4]);
  });

  it('is remembered to be none, each night by itself', () => {
    const kept = new KeptReports();
    let made = 0;
    const none = () => {
      made += 1;
      return null;
    };
    for (const night of ['constructor', '__proto__', '2026-10-30', '2026-10-30'])
      expect(kept.of(night, false, 0, none)).toBeNull();
    expect(made).toBe(3);
  });

  it('does not pile up, whatever nights are asked for', () => {
    const kept = new KeptReports();
    let made = 0;
    const none = () => {
      made += 1;
      return null;
    };
    for (let i = 0; i < 1000; i++) kept.of(`night ${i}`, false, 0, none);
    kept.of('night 999', false, 0, none);
    expect(made).toBe(1000);
    // the oldest were let go of
    kept.of('night 0', false, 0, none);
    expect(made).toBe(1001);
  });
});
