import { describe, expect, it } from 'vitest';
import { limitAmps } from '../../server/file/check-power.ts';
import { readYard } from '../../server/file/read.ts';

/**
 * NEC 210.20(A): the breaker is at least the non-continuous load plus 125 % of the continuous one; continuous is 3 h or more (NEC
 * Article 100), which a show night is. So a breaker carries its rating / 1.25 = 80 % for hours. NEC texts are not public: the rule
 * is as quoted in a Schneider Electric data bulletin "NEC 210.20(A)", the examples as on the secondary pages named beside each.
 *
 * They are put to our own reader: a yard whose one move draws what is left to the limit reads well, and 0.01 A more can
 * never run. Exact.
 */
function yard(breakerAmps: number, standingAmps: number, moveAmps: number, compressorAmps = 0): string {
  const tank =
    compressorAmps > 0
      ? `tanks: {shed: {volume: 20 l, cut-in: 6 bar, cut-out: 8 bar, working: 5 bar, delivery: 60 l/min, compressor: {circuit: dock, amps: ${compressorAmps} A}}}`
      : '';
  return `
yard: {id: limits, title: Limits, timezone: America/Chicago, latitude: 41.88, longitude: -87.63}
nights: [{prepare: "0 16 31 10 *", open: "18:00", close: "22:00", opens: by hand}]
circuits: {dock: {volts: 120, breaker: ${breakerAmps} A, standing: ${standingAmps} A}}
${tank}
props: {lantern: {title: Lantern, moves: {glow: {lasts: 20 s, load: {dock: ${moveAmps} A}}}}}
scenes: {glow: {title: Glow, steps: [lantern.glow]}}
`;
}

function errors(text: string): string[] {
  const read = readYard(text, undefined, { from: 2026, to: 2026 });
  return read.ok ? [] : read.errors.map((e) => e.message);
}

describe('NEC 210.20(A): what a breaker carries for hours', () => {
  it.each([
    // joshthesparky.com, "Continuous load explained" (2026-04-07): 16 A continuous × 1.25 = 20 A, a 20 A breaker.
    { breaker: 20, continuous: 16, source: 'joshthesparky.com' },
    // mynissanleaf forum, thread 23742: 24 A × 1.25 = 30 A; 30 A × 0.8 = 24 A.
    { breaker: 30, continuous: 24, source: 'mynissanleaf forum' },
    // The same rule for a 15 A breaker: 15 / 1.25 = 12 A (NEC 210.23(A)(1) has the same figure for one cord-and-plug load:
    // EC&M Code Q&A, M. Holt, 2012-09-06).
    { breaker: 15, continuous: 12, source: 'EC&M Code Q&A' },
  ])('$continuous A on $breaker A ($source)', ({ breaker, continuous }) => {
    expect(continuous * 1.25).toBe(breaker);
    for (const standing of [0, 3.1, 7.77]) {
      const rest = Number((continuous - standing).toFixed(2));
      expect(errors(yard(breaker, standing, rest))).toEqual([]);
      const over = errors(yard(breaker, standing, Number((rest + 0.01).toFixed(2))));
      expect(over).toHaveLength(1);
      expect(over[0]).toContain(`carries ${continuous} A for hours (80 % of ${breaker} A)`);
    }
  });

  it('a compressor counts with what stands, since it starts by itself', () => {
    expect(errors(yard(20, 2.5, 6, 7.5))).toEqual([]);
    expect(errors(yard(20, 2.5, 6.01, 7.5))).toHaveLength(1);
  });

  it('standing and compressor alone may fill it to the limit and no further', () => {
    expect(errors(yard(20, 8.5, 0, 7.5))).toEqual([]);
    const [message] = errors(yard(20, 8.51, 0, 7.5));
    expect(message).toContain(
      '`dock` is over its limit before anything moves: 8.51 A standing and 7.5 A of compressors',
    );
  });

  it('is 80 % unless the file says otherwise', () => {
    const read = readYard(yard(15, 0, 1), undefined, { from: 2026, to: 2026 });
    expect(read.ok && limitAmps(read.yard.circuits.get('dock')!)).toBe(12);
  });
});
