import { describe, expect, test } from 'vitest';
import {
  amps,
  count,
  left,
  listed,
  measured,
  ofLimit,
  psi,
  quoted,
  share,
  span,
} from '../../server/words/figures.ts';

describe('times', () => {
  test.each([
    [0, '0.0 s'],
    [7100, '7.1 s'],
    [12_000, '12.0 s'],
    [59_949, '59.9 s'],
    [59_950, '1 min'],
    [125_000, '2 min 5 s'],
    [3_599_600, '1 h'],
    [4_800_000, '1 h 20 min'],
    [-5, '0.0 s'],
  ])('measured %d ms is %s', (ms, said) => expect(measured(ms)).toBe(said));

  test.each([
    [0, '0 s'],
    [0.2, '1 ms'],
    [400, '400 ms'],
    [999.4, '1 s'],
    [1000, '1 s'],
    [3500, '3.5 s'],
    [12_000, '12 s'],
    [600_000, '10 min'],
    [5_400_000, '1 h 30 min'],
  ])('set %d ms is %s', (ms, said) => expect(span(ms)).toBe(said));

  test.each([
    [1, '1 s'],
    [11_200, '12 s'],
    [60_000, '1 min'],
    [124_001, '2 min 5 s'],
  ])('left %d ms is %s, never less than it is', (ms, said) => expect(left(ms)).toBe(said));

  test('how far a wait is', () => {
    expect(ofLimit(3200, 12_000)).toBe('3.2 of 12 s');
    expect(ofLimit(65_000, 120_000)).toBe('1 min 5 s of 2 min');
    expect(ofLimit(3200, 120_000)).toBe('3.2 s of 2 min');
    expect(ofLimit(200, 400)).toBe('0.2 s of 400 ms');
    expect(ofLimit(61_000, 50_000)).toBe('1 min 1 s of 50 s');
  });
});

describe('amounts', () => {
  // NIST SP 811 (2008), appendix B.8: 1 psi = 6.894757 kPa
  test.each([
    [620.52813, '90 psi'],
    [101.325, '14.7 psi'],
    [6.894757, '1 psi'],
  ])('%d kPa is %s', (kpa, said) => expect(psi(kpa)).toBe(said));

  test('a limit just passed can be seen to be passed', () => {
    expect([amps(12.04), amps(12)]).toEqual(['12.04 A', '12 A']);
    expect([psi(479.9), psi(482.633)]).toEqual(['69.6 psi', '70 psi']);
  });

  test('shares, counts, lists', () => {
    expect(share(0.4)).toBe('40 %');
    expect(share(0.125)).toBe('12.5 %');
    expect([count(1, 'run'), count(0, 'run'), count(2000, 'cycle')]).toEqual([
      '1 run',
      '0 runs',
      '2000 cycles',
    ]);
    expect(['a', 'b', 'c'].map((_, i, all) => listed(all.slice(0, i + 1)))).toEqual([
      'a',
      'a and b',
      'a, b and c',
    ]);
    expect(listed([])).toBe('');
  });

  test('a figure that is none is said as unknown, never as NaN', () => {
    for (const say of [measured, span, left, amps, psi, share]) expect(say(Number.NaN)).toMatch(/^\? /);
  });

  test("another's word is quoted in one line of bounded length", () => {
    expect(quoted('too\n hot ')).toBe("'too hot'");
    expect(quoted('x'.repeat(300))).toHaveLength(82);
  });
});
