import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { reviewYard } from '../../server/file/review.ts';
import { dropVolts, ohmsPerMetre } from '../../server/file/wire.ts';

const MM_PER_FOOT = 304.8;
const METRES_PER_KFT = 304.8;

/** NEC texts are not public: Chapter 9 Table 8 (copper, direct current, 75 °C) as reproduced on the pages named. */
describe('NEC Chapter 9 Table 8, stranded uncoated copper, ohm per 1000 ft', () => {
  // 14, 12, 10, 8: wire-size-calc tables; 16: electrician2.com; 18: from memory, within 1 % of the gauge's geometry.
  const table = [
    [18, 7.95],
    [16, 4.99],
    [14, 3.14],
    [12, 1.98],
    [10, 1.24],
    [8, 0.778],
  ] as const;

  it.each(table)('%i AWG: %f', (awg, ohms) => {
    expect(ohmsPerMetre({ awg }) * METRES_PER_KFT).toBeCloseTo(ohms, 10);
  });

  it('goes on by the gauge’s geometry where the table ends, within 1 %', () => {
    // The gauge's diameters: 0.005·92^((36 − n)/39) in (ASTM B258). Resistance at 20 °C of solid copper per 1000 ft, NBS
    // Handbook 100 as in cirris.com's table: 20 AWG 10.15, 22 AWG 16.14. At 75 °C 1 + 0.00393 · 55, and 2 % for strands.
    const warm = (1 + 0.00393 * 55) * 1.02;
    for (const [awg, cold] of [
      [20, 10.15],
      [22, 16.14],
    ] as const) {
      const ohms = ohmsPerMetre({ awg }) * METRES_PER_KFT;
      expect(Math.abs(ohms / (cold * warm) - 1)).toBeLessThan(0.01);
    }
  });
});

describe('worked examples', () => {
  it('100 ft of 16 AWG at 4 A: 3.99 V', () => {
    // electrician2.com, weltrain05/lpage135: 2 × 100 ft × 4.99/1000 × 4 A. The page prints 4.0 V and 16.7 % of 24 V.
    const drop = dropVolts({ lengthMm: 100 * MM_PER_FOOT, gauge: { awg: 16 } }, 4);
    expect(drop).toBeCloseTo(3.992, 9);
    expect((100 * drop) / 24).toBeCloseTo(16.63, 2);
  });

  it('100 ft of 12 AWG at 20 A: 7.9 V, 6.6 % of 120 V', () => {
    // tradelicenseprep.com, calc-voltage-drop: 2 · 12.9 · 20 A · 100 ft / 6530 cmil = 7.902 V (prints 7.9 V, 6.6 %). Its constant
    // of 12.9 ohm·cmil/ft is rounded: 1.9755 ohm per 1000 ft against 1.98 in the table, so 0.3 % apart.
    const drop = dropVolts({ lengthMm: 100 * MM_PER_FOOT, gauge: { awg: 12 } }, 20);
    expect(Math.abs(drop / 7.902 - 1)).toBeLessThan(0.003);
    expect((100 * drop) / 120).toBeCloseTo(6.6, 1);
  });

  it('and on 8 AWG: 3.1 V, 2.6 %', () => {
    // The same page: 12.9 over 16510 cmil gives 3.125 V. The table has 0.778 where that constant gives 0.781.
    const drop = dropVolts({ lengthMm: 100 * MM_PER_FOOT, gauge: { awg: 8 } }, 20);
    expect(Math.abs(drop / 3.125 - 1)).toBeLessThan(0.005);
    expect((100 * drop) / 120).toBeCloseTo(2.6, 1);
  });

  // IEC 60364-5-52:2009 Annex G: u = b·(rho1·L/S·cos φ + λ·L·sin φ)·I with b = 2 for single phase and rho1 = 0.0225 ohm·mm²/m
  // for copper, as reproduced in cabledatasheet.com. Ours is for resistive loads, cos φ = 1. Results own arithmetic.
  it.each([
    [1.5, 20, 10, 6.0, 2.61],
    [2.5, 30, 16, 8.64, 3.76],
  ])('%f mm², %i m, %i A: %f V, %f %% of 230 V', (mm2, metres, amps, volts, percent) => {
    const drop = dropVolts({ lengthMm: metres * 1000, gauge: { mm2 } }, amps);
    expect(drop).toBeCloseTo(volts, 9);
    expect((100 * drop) / 230).toBeCloseTo(percent, 2);
  });
});

describe('the 3 % of the informational note warns and never blocks', () => {
  const yard = (feet: number): string => `
yard: {id: drop, title: Drop, timezone: America/Chicago, latitude: 41.88, longitude: -87.63}
nights: [{prepare: "0 16 31 10 *", open: "18:00", close: "22:00", opens: by hand}]
circuits: {dock: {title: Dock, volts: 120, breaker: 20 A, cable: {length: ${feet} ft, gauge: 12 AWG}}}
props: {lantern: {title: Lantern, moves: {glow: {lasts: 20 s, load: {dock: 16 A}}}}}
scenes: {glow: {title: Glow, steps: [lantern.glow]}}
`;

  it.each([
    // 3 % of 120 V at 16 A on 12 AWG: 3.6 / (2 · 1.98/1000 · 16) = 56.8 ft.
    [56, 'note'],
    [57, 'warning'],
  ])('%i ft', (feet, level) => {
    const read = readYard(yard(feet), undefined, { from: 2026, to: 2026 });
    const found = read.ok ? reviewYard(read.yard).filter((f) => f.code === 'voltage-drop') : [];
    expect(found.map((f) => f.level)).toEqual([level]);
  });
});
