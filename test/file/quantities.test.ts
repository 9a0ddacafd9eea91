import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Dimension,
  patternOf,
  readQuantity,
  writeQuantity,
  writeTime,
} from '../../server/file/quantities.ts';

const EXAMPLE: Readonly<Record<Dimension, string>> = {
  time: '7 s',
  length: '1.4 m',
  current: '1.8 A',
  pressure: '90 psi',
  volume: '6 gal',
  flow: '2.6 cfm',
  share: '80 %',
};

function value(dimension: Dimension, raw: unknown): number {
  const read = readQuantity(dimension, raw, EXAMPLE[dimension]);
  if (!read.ok) throw new Error(read.complaint.what);
  return read.value;
}

function complaint(dimension: Dimension, raw: unknown): string {
  const read = readQuantity(dimension, raw, EXAMPLE[dimension]);
  if (read.ok) throw new Error(`${raw} was read as ${read.value}`);
  return `${read.complaint.what}. ${read.complaint.example}`;
}

describe('quantities', () => {
  // Exact by definition: inch and foot (international yard and pound agreement, 1959), US gallon 231 in³, cubic foot
  // from the foot, bar 100 kPa. 1 psi = 6.894757 kPa: NIST SP 811, Appendix B.9.
  it.each<[Dimension, string, number]>([
    ['time', '400 ms', 400],
    ['time', '7 s', 7000],
    ['time', '6 min', 360_000],
    ['time', '1.5 h', 5_400_000],
    ['time', '7s', 7000],
    ['time', '.5 s', 500],
    ['time', '0 s', 0],
    ['time', '+2 s', 2000],
    ['length', '1.4 m', 1400],
    ['length', '140 cm', 1400],
    ['length', '5.08 mm', 5.08],
    ['length', '55 in', 1397],
    ['length', '4.5 ft', 1371.6],
    ['current', '1.8 A', 1.8],
    ['pressure', '90 psi', 620.52813],
    ['pressure', '6.2 bar', 620],
    ['pressure', '620 kPa', 620],
    ['volume', '6 gal', 22.712470704],
    ['volume', '23 l', 23],
    ['flow', '2.6 cfm', 73.6238011392],
    ['flow', '74 l/min', 74],
    ['share', '80 %', 0.8],
    ['share', '12.5%', 0.125],
  ])('reads %s %s', (dimension, text, expected) => {
    expect(value(dimension, text)).toBeCloseTo(expected, 9);
  });

  it('takes the blanks that come with copying', () => {
    expect(value('time', '7\u00a0s')).toBe(7000);
    expect(value('time', ' 7\u2009\u202fs ')).toBe(7000);
  });

  it('gives 80 % as exactly 0.8, so that 0.8 of 15 A is 12 A', () => {
    expect(value('share', '80 %')).toBe(0.8);
    expect(value('share', '80 %') * 15).toBe(12);
  });

  it.each<[Dimension, unknown, string]>([
    ['time', 7, 'has no unit. 7 s'],
    ['time', '7', 'has no unit. 7 s'],
    ['current', '15', 'has no unit. 15 A'],
    ['time', '-7 s', 'is below zero. 7 s'],
    ['time', '\u22127 s', 'is below zero. 7 s'],
    ['time', '7 m', 'is a length, and a time is wanted. 7 min'],
    ['time', '7 A', 'is a current, and a time is wanted. 7 s'],
    ['length', '7 s', 'is a time, and a length is wanted. 1.4 m'],
    ['volume', '2.6 cfm', 'is an air flow, and a volume is wanted. 6 gal'],
    ['time', '7 sec', 'has its unit spelled `sec`. 7 s'],
    ['time', '7 Min', 'has its unit spelled `Min`. 7 min'],
    ['current', '400 mA', 'has its unit spelled `mA`. 0.4 A'],
    ['pressure', '90 PSI', 'has its unit spelled `PSI`. 90 psi'],
    ['volume', '6 gallons', 'has its unit spelled `gallons`. 6 gal'],
    ['volume', '6 L', 'has its unit spelled `L`. 6 l'],
    ['length', '55"', 'has its unit spelled `"`. 55 in'],
    ['time', '1,5 s', 'has a decimal comma. 1.5 s'],
    ['time', '1,5', 'has a decimal comma. 1.5 s'],
    ['length', '1/2 in', 'is a fraction: write it with a point. 0.5 in'],
    ['time', '1 h 30 min', 'is two quantities: one number and one unit are wanted. 90 min'],
    ['time', '1 min and 30 s', 'is two quantities: one number and one unit are wanted. 90 s'],
    ['time', '7-9 s', 'is more than one number and one unit. 7 s'],
    ['time', '7 8 s', 'is more than one number and one unit. 7 s'],
    ['time', '7 fathoms', 'has `fathoms` for a unit, which is none of ms, s, min, h. 7 s'],
    ['time', 'seven s', 'is not a time: it begins with no number. 7 s'],
    ['time', '', 'is empty. 7 s'],
    ['time', Number.NaN, 'is not a number that can be used. 7 s'],
    ['time', Number.POSITIVE_INFINITY, 'is not a number that can be used. 7 s'],
    ['time', '-.inf', 'is not a number that can be used. 7 s'],
    ['time', `${'9'.repeat(400)} s`, 'is not a number that means anything here. 7 s'],
    ['time', true, 'is not a time. 7 s'],
    ['time', null, 'is not a time. 7 s'],
  ])('refuses %s %j', (dimension, raw, expected) => {
    expect(complaint(dimension, raw)).toBe(expected);
  });

  const units: readonly (readonly [Dimension, string])[] = [
    ...['ms', 's', 'min', 'h'].map((u) => ['time', u] as const),
    ...['mm', 'cm', 'm', 'in', 'ft'].map((u) => ['length', u] as const),
    ['current', 'A'],
    ...['psi', 'bar', 'kPa'].map((u) => ['pressure', u] as const),
    ...['gal', 'l'].map((u) => ['volume', u] as const),
    ...['cfm', 'l/min'].map((u) => ['flow', u] as const),
    ['share', '%'],
  ];

  it('reads back what it wrote, in every unit', () => {
    const number = fc.double({ min: 0, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(fc.constantFrom(...units), number, ([dimension, unit], n) => {
        const base = value(dimension, `${n.toFixed(6)} ${unit}`);
        const text = writeQuantity(dimension, base, unit);
        expect(text).toMatch(new RegExp(patternOf(dimension), 'u'));
        expect(Math.abs(value(dimension, text) - base)).toBeLessThanOrEqual(Math.abs(base) * 1e-11 + 1e-9);
      }),
    );
  });

  it('never throws, whatever it is given', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...units),
        fc.oneof(fc.string({ unit: 'binary' }), fc.anything({ maxDepth: 1 })),
        ([dimension], raw) => {
          const read = readQuantity(dimension, raw, EXAMPLE[dimension]);
          if (read.ok) expect(read.value).toBeGreaterThanOrEqual(0);
          else expect(read.complaint.what).not.toBe('');
        },
      ),
    );
  });

  it('proposes only what it would read', () => {
    const texts = fc.oneof(
      fc
        .tuple(
          fc.nat(9999),
          fc.constantFrom('', ' ', ','),
          fc.constantFrom('sec', 'amps', '"', 'm', 'psig', '5 s', '%', 'x'),
        )
        .map((t) => t.join('')),
      fc.string({ maxLength: 12 }),
    );
    fc.assert(
      fc.property(fc.constantFrom(...units), texts, ([dimension], raw) => {
        const read = readQuantity(dimension, raw, EXAMPLE[dimension]);
        if (!read.ok)
          expect(readQuantity(dimension, read.complaint.example, EXAMPLE[dimension]).ok).toBe(true);
      }),
    );
  });

  it.each([
    [400, '400 ms'],
    [7000, '7 s'],
    [6800, '6.8 s'],
    [90_000, '90 s'],
    [360_000, '6 min'],
    [16_200_000, '4.5 h'],
  ])('writes %i ms as a person would', (ms, text) => {
    expect(writeTime(ms)).toBe(text);
  });
});
