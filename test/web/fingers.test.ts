import { describe, expect, it } from 'vitest';
import { fingers } from '../../web/fingers.ts';
import { dragged, movedOf, spread, stretchOf, stretchOfLength } from '../../web/ruler.ts';

const MIN = 60_000;
const HOUR = { fromMs: 100 * MIN, toMs: 160 * MIN };

describe('fingers on a ruler', () => {
  it('drag by what one has moved, and say nothing of a finger that never came down', () => {
    const on = fingers();
    on.down(1, 100);
    expect(on.move(1, 130)).toEqual({ dragged: 30 });
    expect(on.move(1, 125)).toEqual({ dragged: -5 });
    expect(on.move(2, 50)).toBe(null);
    on.up(1);
    expect(on.move(1, 90)).toBe(null);
  });

  it('spread by how far two go apart, around their middle; a third is not heard', () => {
    const on = fingers();
    on.down(1, 100);
    on.down(2, 200);
    on.down(3, 400);
    expect(on.move(2, 300)).toEqual({ spread: 2, around: 200 });
    expect(on.move(1, 200)).toEqual({ spread: 0.5, around: 250 });
    expect(on.move(3, 10)).toBe(null);
    on.up(2);
    expect(on.move(1, 210)).toEqual({ dragged: 10 });
  });

  it('never divide by nothing, however close they lie', () => {
    const on = fingers();
    on.down(1, 100);
    on.down(2, 100);
    expect(on.move(2, 148)).toEqual({ spread: 2, around: 124 });
  });
});

describe('a stretch under them', () => {
  it('moves so that what lay under the finger still does', () => {
    expect(dragged(HOUR, 90, 360)).toEqual({ fromMs: 85 * MIN, toMs: 145 * MIN });
  });

  it('spreads so that what lay between them still does, within its bounds', () => {
    expect(spread(HOUR, 2, 0.5, 600 * MIN)).toEqual({ fromMs: 115 * MIN, toMs: 145 * MIN });
    expect(spread(HOUR, 0.5, 0, 600 * MIN)).toEqual({ fromMs: 100 * MIN, toMs: 220 * MIN });
    const longest = spread(HOUR, 0.001, 0.25, 300 * MIN);
    expect(longest.toMs - longest.fromMs).toBe(300 * MIN);
    expect(longest.fromMs + 75 * MIN).toBe(115 * MIN);
    const shortest = spread(HOUR, 1000, 0.5, 300 * MIN);
    expect(shortest.toMs - shortest.fromMs).toBe(2 * MIN);
  });

  it('is kept as a length and how far it was moved, and goes on with now', () => {
    const now = 130 * MIN;
    const moved = movedOf(HOUR, now);
    expect(stretchOfLength(60 * MIN, now, moved)).toEqual(HOUR);
    expect(stretchOfLength(60 * MIN, now + MIN, moved)).toEqual({ fromMs: 101 * MIN, toMs: 161 * MIN });
    expect(stretchOf('hour', HOUR, now, moved)).toEqual(HOUR);
  });
});
