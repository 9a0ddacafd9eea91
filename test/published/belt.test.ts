import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';

/**
 * A toothed belt runs at the pulley's pitch length a turn: v = n/60 · z · p.
 *
 * Pitches by ISO 5296:2012 as in pti-latam.com's glossary and ANSI/RMA IP-24 as in engineersedge.com (XXL: from memory).
 * Speeds at 152 turns a minute: own arithmetic from that formula, recomputed apart; no published example was found. 152 rpm
 * is common practice for such a gear motor, no source.
 */
function usualMs(teeth: number, pitch: string, travel: string): number {
  const read = readYard(
    `
yard: {id: belt, title: Belt, timezone: America/Chicago, latitude: 41.88, longitude: -87.63}
nights: [{prepare: "0 16 31 10 *", open: "18:00", close: "22:00", opens: by hand}]
props:
  ferry:
    title: Ferry
    sensors: {near: end, far: end}
    home: near
    drive: {rpm: 152, teeth: ${teeth}, pitch: ${pitch}, travel: ${travel}}
    moves: {out: {until: far, limit: 10 h}, back: {until: near, usual: 1 h, limit: 10 h}}
scenes: {there: {title: There, steps: [ferry.out, ferry.back]}}
`,
    undefined,
    { from: 2026, to: 2026 },
  );
  if (!read.ok) throw new Error(read.errors.map((e) => e.message).join('\n'));
  const out = read.yard.props.get('ferry')!.moves.get('out')!;
  expect(out.derived).toBe(true);
  return out.usualMs;
}

describe('belt speeds, through the usual time that our reader derives', () => {
  // Over 500 m the rounding to a whole millisecond is under 1e-6 of the time; the speeds are given to six figures.
  it.each([
    ['MXL', 16, '2.032 mm', 82.3637],
    ['MXL', 20, '2.032 mm', 102.9547],
    ['XL', 16, '5.08 mm', 205.9093],
    ['XL', 20, '5.08 mm', 257.3867],
    ['L', 16, '9.525 mm', 386.08],
    ['L', 20, '9.525 mm', 482.6],
  ])('%s, %i teeth of %s: %f mm/s', (_, teeth, pitch, speed) => {
    const measured = 500_000 / (usualMs(teeth, pitch, '500 m') / 1000);
    expect(Math.abs(measured / speed - 1)).toBeLessThan(1e-6);
  });

  it('in inches a second: XL 8.10667, L 15.2 and 19.0', () => {
    expect(usualMs(16, '0.2 in', '810.667 in')).toBe(100_000);
    expect(usualMs(16, '0.375 in', '1520 in')).toBe(100_000);
    expect(usualMs(20, '0.375 in', '1900 in')).toBe(100_000);
  });

  it.each([
    ['MXL', 2.032, 0.08],
    ['XXL', 3.175, 0.125],
    ['XL', 5.08, 0.2],
    ['L', 9.525, 0.375],
    ['H', 12.7, 0.5],
    ['XH', 22.225, 0.875],
    ['XXH', 31.75, 1.25],
  ])('ISO 5296 %s: %f mm is %f in', (_, mm, inches) => {
    expect(usualMs(16, `${mm} mm`, '10 m')).toBe(usualMs(16, `${inches} in`, '1000 cm'));
  });

  it('a carriage of 1.4 m on 16 teeth XL takes 6.8 s', () => {
    // 1400 / 205.9093 = 6.7991 s, to the millisecond.
    expect(usualMs(16, '5.08 mm', '1.4 m')).toBe(6799);
  });
});
