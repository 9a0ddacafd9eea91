import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { RecordLine } from '../../server/desk-door.ts';
import { placeOf, Tonight } from '../../web/record.ts';

const line = (n: number, at: number): RecordLine => ({
  n,
  at,
  code: 'x',
  text: '',
  prop: null,
  scene: null,
  run: null,
});

/** Lines with numbers left out, as where events leave no line. */
const records = fc
  .array(fc.record({ step: fc.integer({ min: 1, max: 900 }), later: fc.integer({ min: 0, max: 5 }) }), {
    maxLength: 200,
  })
  .map((steps) => {
    let n = 0;
    let at = 0;
    return steps.map(({ step, later }) => {
      n += step;
      at += later;
      return line(n, at);
    });
  });

const reader = (lines: RecordLine[]) => {
  const calls = { count: 0 };
  const read = async (after: number, limit: number) => {
    calls.count += 1;
    return lines.filter(({ n }) => n > after).slice(0, limit);
  };
  return { read, calls };
};

describe('reading the record from a time on', () => {
  it('finds exactly the lines at or after it, in any record', async () => {
    await fc.assert(
      fc.asyncProperty(records, fc.integer({ min: 0, max: 800 }), async (lines, since) => {
        const found = await new Tonight(reader(lines).read).lines(since);
        expect(found).toEqual(lines.filter(({ at }) => at >= since));
      }),
    );
  });

  it('needs few questions for a long record', async () => {
    const lines = Array.from({ length: 200_000 }, (_, n) => line(n + 1, n));
    const { read, calls } = reader(lines);
    const after = await placeOf(read, 199_900);
    expect(after).toBe(199_900);
    expect(calls.count).toBeLessThan(45);
  });

  it('tells a record that can not be read from an empty one', async () => {
    expect(await new Tonight(async () => null).lines(0)).toBeNull();
    expect(await new Tonight(async () => []).lines(0)).toEqual([]);
  });

  it('asks only for what is new the next time, and lets go of what is too old', async () => {
    const lines = [line(1, 10), line(2, 20)];
    const { read, calls } = reader(lines);
    const tonight = new Tonight(read);
    expect(await tonight.lines(0)).toHaveLength(2);
    const before = calls.count;
    lines.push(line(5, 30));
    expect((await tonight.lines(15))!.map(({ n }) => n)).toEqual([2, 5]);
    expect(calls.count).toBe(before + 1);
  });
});
