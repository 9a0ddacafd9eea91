import { describe, expect, it } from 'vitest';
import { Link, LOST_AFTER_MS } from '../../web/link.ts';

describe('the age of the picture', () => {
  it('grows by the monotonic clock alone from the last word', () => {
    const link = new Link();
    expect(link.ageMs(0)).toBe(Number.POSITIVE_INFINITY);
    link.hear(1_000_000, 50);
    expect(link.ageMs(50)).toBe(0);
    expect(link.ageMs(2550)).toBe(2500);
    expect(link.deskNow(2550)).toBe(1_002_500);
  });

  it('counts what a word spent on the way, once a faster one is known', () => {
    const link = new Link();
    link.hear(1_000_000, 100);
    link.hear(1_001_000, 1_100);
    // The radio stalls: a beat of 1_002_000 arrives 4 s late, in a burst with the next.
    link.hear(1_002_000, 6_100);
    expect(link.ageMs(6_100)).toBe(4_000);
    expect(link.ageMs(6_100)).toBeGreaterThan(LOST_AFTER_MS);
    link.hear(1_006_000, 6_110);
    expect(link.ageMs(6_110)).toBe(10);
  });

  it('does not take an hour of slow drift between the two clocks for age', () => {
    const link = new Link();
    // 100 ppm, more than a bad crystal's: 0.36 s in an hour.
    for (let second = 0; second <= 3600; second += 1) link.hear(second * 1000, second * 1000 * 1.0001);
    expect(link.ageMs(3600 * 1000 * 1.0001)).toBeLessThan(100);
  });

  it('never goes back to an older word', () => {
    const link = new Link();
    link.hear(5_000, 100);
    link.hear(4_000, 110);
    expect(link.deskNow(200)).toBe(5_100);
  });

  it('begins anew where the desk did', () => {
    const link = new Link();
    link.hear(1_000_000, 0);
    link.restart();
    expect(link.ageMs(10)).toBe(Number.POSITIVE_INFINITY);
    link.hear(500_000, 10);
    expect(link.ageMs(20)).toBe(10);
    expect(link.deskNow(20)).toBe(500_010);
  });
});
