import { expect, test } from 'vitest';
import { chanceOf, seeded, shown, stirred } from '../../server/show/chance.ts';

test('the same seed draws the same numbers, another seed others', () => {
  const [a, b, c] = [seeded('7 2026-10-31'), seeded('7 2026-10-31'), seeded('7 2026-11-01')];
  const drawn = Array.from({ length: 100 }, a);
  expect(Array.from({ length: 100 }, b)).toEqual(drawn);
  expect(Array.from({ length: 100 }, c)).not.toEqual(drawn);
});

test('the state is plain data: a source taken up from its state goes on as it would have', () => {
  const source = seeded(42);
  let state = chanceOf(42);
  for (let k = 0; k < 50; k++) {
    state = stirred(JSON.parse(JSON.stringify(state)));
    expect(shown(state)).toBe(source());
  }
});

// Pearson's chi-square with 99 degrees of freedom: 99.9 % of fair sources stay below 148.2 (any statistics handbook's
// table; the value here is from memory).
test.each([1, 7, 'x', ''])('numbers from seed %j fall evenly, alone and in pairs', (seed) => {
  const source = seeded(seed);
  const alone = new Array<number>(100).fill(0);
  const pairs = new Array<number>(100).fill(0);
  for (let k = 0; k < 50_000; k++) {
    const [x, y] = [source(), source()];
    expect(x >= 0 && x < 1).toBe(true);
    alone[Math.floor(x * 100)]! += 1;
    pairs[Math.floor(x * 10) * 10 + Math.floor(y * 10)]! += 1;
  }
  for (const counts of [alone, pairs])
    expect(counts.reduce((sum, n) => sum + (n - 500) ** 2 / 500, 0)).toBeLessThan(148.2);
});
