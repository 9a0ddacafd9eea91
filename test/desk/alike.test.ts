import { isDeepStrictEqual } from 'node:util';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { alike } from '../../server/alike.ts';

test('two values that come from JSON are alike where node finds them deeply equal, and only there', () => {
  const value = fc.jsonValue({ maxDepth: 4 }) as fc.Arbitrary<unknown>;
  fc.assert(
    fc.property(value, value, (a, b) => {
      // by their texts and back, since JSON knows no -0
      const [one, other] = [JSON.parse(JSON.stringify(a)), JSON.parse(JSON.stringify(b))];
      expect(alike(one, structuredClone(one))).toBe(true);
      expect(alike(one, other)).toBe(isDeepStrictEqual(one, other));
    }),
    { numRuns: 500 },
  );
});

test('one changed, missing or added value anywhere is found', () => {
  const value = fc.dictionary(fc.string(), fc.jsonValue({ maxDepth: 3 }), { minKeys: 1 });
  fc.assert(
    fc.property(value, fc.nat(), (given, pick) => {
      const keys = Object.keys(given);
      const key = keys[pick % keys.length]!;
      const { [key]: _, ...less } = given;
      expect(alike(given, less)).toBe(false);
      expect(alike(less, given)).toBe(false);
      expect(alike({ in: [given] }, { in: [{ ...given, [key]: 'another value' }] })).toBe(
        given[key] === 'another value',
      );
    }),
  );
});

test.each([
  [{ a: undefined }, {}, true],
  [{ a: null }, {}, false],
  [{ a: 1, b: 2 }, { b: 2, a: 1 }, true],
  [[1, 2], [2, 1], false],
  [[1], { 0: 1 }, false],
  [{}, { constructor: 1 }, false],
  [{ constructor: Object }, {}, false],
  [Number.NaN, Number.NaN, true],
  [0, '0', false],
  [null, {}, false],
])('%j and %j: %s', (a, b, same) => {
  expect(alike(a, b)).toBe(same);
  expect(alike(b, a)).toBe(same);
});
