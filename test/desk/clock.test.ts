import { describe, expect, it } from 'vitest';
import { axisAt } from '../../server/clock.ts';
import { opened } from '../show/hand.ts';
import { landing, OPEN_MS } from '../show/landing.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

describe('the axis of a start', () => {
  it('goes on where that of the record would stand, however long the computer slept meanwhile', () => {
    // it slept for two minutes, so its axis fell behind the wall clock by as much, and was then started anew in 5 s
    const { show } = opened(landing());
    const slept = { at: show.at, offsetMs: show.offsetMs + 2 * MINUTE_MS };
    const wall = slept.at + slept.offsetMs + 5000;
    expect(axisAt(wall, slept.at, slept.offsetMs)).toBe(slept.at + 5000);
  });

  it('is not moved by a clock that was set wrong and is right again, or the other way round', () => {
    // set an hour ahead while it ran: the wall clock still is
    expect(axisAt(OPEN_MS + HOUR_MS + 5000, OPEN_MS, HOUR_MS)).toBe(OPEN_MS + 5000);
    // right again by the start: nothing of before counts as longer past than it is
    expect(axisAt(OPEN_MS + 5000, OPEN_MS, HOUR_MS)).toBe(OPEN_MS);
  });

  it('begins at the wall clock anew where that was never right, and never before the record', () => {
    expect(axisAt(OPEN_MS, 90_000, OPEN_MS)).toBe(OPEN_MS);
    expect(axisAt(1000, OPEN_MS, 0)).toBe(OPEN_MS);
    expect(axisAt(OPEN_MS, 0, 0)).toBe(OPEN_MS);
  });
});
