import { describe, expect, it } from 'vitest';
import { barIn } from '../../web/pinch.ts';

/** A phone of 390 by 844; the bar ends 67 px above its foot, where the tabs are. */
const BAR = { left: 0, bottom: 777, width: 390 };

describe('the stop bar where fingers draw the page large', () => {
  it('is left where it is laid out while all of the page is seen', () => {
    expect(barIn({ offsetLeft: 0, offsetTop: 0, width: 390, height: 844, scale: 1 }, BAR)).toBeNull();
    expect(barIn({ offsetLeft: 0, offsetTop: 0, width: 390, height: 844, scale: 1.004 }, BAR)).toBeNull();
  });

  it('lies across the foot of what is seen, as large to the eye as before', () => {
    const seen = { offsetLeft: 100, offsetTop: 200, width: 130, height: 281, scale: 3 };
    const { x, y, by } = barIn(seen, BAR)!;
    // a third of the width on the page, drawn three times as large
    expect(by * BAR.width * seen.scale).toBeCloseTo(390, 6);
    expect(BAR.left + x).toBeCloseTo(seen.offsetLeft, 6);
    const foot = (seen.offsetTop + seen.height - (BAR.bottom + y)) * seen.scale;
    expect(foot).toBeGreaterThan(8);
    expect(foot).toBeLessThan(24);
  });
});
