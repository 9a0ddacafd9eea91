import { describe, expect, it } from 'vitest';
import { expectNow, expectsOf } from '../../server/show/travel.ts';
import { median } from '../../server/trend/statistics.ts';
import { type Hand, opened } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

const yard = landing(
  ['steps: [ferry.out, ferryman.row, ferry.back]', 'steps: [ferry.out, ferry.back]'],
  ['zone: pond\n    every', 'every'],
);

/** There and back again, each way in this time. */
function cross(hand: Hand, time: string): void {
  expect(hand.run('crossing')).toBe(null);
  hand.travels('ferry', 'near', 'far', time).travels('ferry', 'far', 'near', time);
}

describe('The expected time of a move', () => {
  it('is the file’s until 20 have been timed, and then the middle of what was measured', () => {
    const hand = opened(yard);
    for (let i = 0; i < 19; i++) cross(hand, '7 s');
    expect(expectNow(hand.show, 'ferry', 'out')).toBe(6000);
    expect(expectsOf(hand.show)).toEqual({});
    cross(hand, '9 s');
    expect(expectNow(hand.show, 'ferry', 'out')).toBe(7000);
    expect(expectsOf(hand.show)).toEqual({ 'ferry.out': 7000, 'ferry.back': 7000 });
    // of nineteen of 7 s and one of 9 s the middle is 7 s (median of an even count: the mean of the two in the middle)
    expect(median([...Array.from({ length: 19 }, () => 7000), 9000])).toBe(7000);
  });

  it('is what a start is judged by: a crossing that has come to take 14 s no longer fits before close', () => {
    const late = { ...NIGHT, closeMs: OPEN_MS + 20 * 14_000 + 13_000, quietMs: null };
    const hand = opened(yard, [], late);
    for (let i = 0; i < 20; i++) cross(hand, '7 s');
    expect(hand.run('crossing')).toEqual([{ code: 'close', atMs: late.closeMs }]);
    const file = opened(yard, [], late);
    for (let i = 0; i < 19; i++) cross(file, '7 s');
    file.advance('14 s');
    // by the file it takes 12 s
    expect(file.run('crossing')).toBe(null);
  });

  it('keeps the last forty, and none of a bench, a homing, a fault or half a way', () => {
    const hand = opened(yard);
    for (let i = 0; i < 45; i++) cross(hand, '7 s');
    expect(hand.prop('ferry').travels.out).toHaveLength(40);
    const short = opened(yard);
    short.run('crossing');
    short.travels('ferry', 'near', 'far', '1 s');
    expect(short.fault('ferry')).toMatchObject({ code: 'travel-short', tookMs: 1000, usualMs: 6000 });
    expect(short.prop('ferry').travels).toEqual({});
  });

  it('under 40 % of it is too short, at 40 % it is not', () => {
    for (const [time, fault] of [
      ['2399 ms', 'travel-short'],
      ['2400 ms', null],
    ] as const) {
      const hand = opened(yard);
      hand.run('crossing');
      hand.travels('ferry', 'near', 'far', time);
      expect([time, hand.fault('ferry')?.code ?? null]).toEqual([time, fault]);
    }
  });

  it('is not taken for too short where the word of its start came late', () => {
    const hand = opened(yard);
    hand.run('crossing');
    // held up on the network or by the desk itself; it moved all the while
    hand.advance('1900 ms').travels('ferry', 'near', 'far', '600 ms');
    expect(hand.fault('ferry')).toBe(null);
  });

  it('counts a cycle for each run in which the prop moved, and calls for service at its number, once', () => {
    const served = opened(
      landing(
        ['steps: [ferry.out, ferryman.row, ferry.back]', 'steps: [ferry.out, ferry.back]'],
        ['zone: pond\n    every', 'every'],
        ['    home: near', '    home: near\n    service-every: 3 cycles'],
      ),
    );
    for (let i = 0; i < 5; i++) cross(served, '6 s');
    expect(served.prop('ferry')).toMatchObject({ cycles: 5, moves: 10 });
    expect(served.lines('service-due')).toMatchObject([{ prop: 'ferry', reason: { cycles: 3 } }]);
    // a run that ended before it moved is no cycle
    served.run('crossing');
    served.says('ferry', 'refused', { why: 'session' }).says('ferry', 'refused', { why: 'session' });
    expect(served.prop('ferry').cycles).toBe(5);
  });
});
