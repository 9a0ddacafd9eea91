import { describe, expect, it } from 'vitest';
import type { Course } from '../../server/past/course.ts';
import { keyFrom, spanAround, stepFrom } from '../../web/past-marks.ts';

const MIN = 60_000;
const course: Course = {
  night: '2026-10-31',
  from: 0,
  to: 240 * MIN,
  runs: [
    [10 * MIN, 11 * MIN],
    [50 * MIN, 52 * MIN],
  ],
  missed: [70 * MIN],
  faults: [60 * MIN, 300 * MIN],
  stops: [90 * MIN],
  turns: [5 * MIN],
};

describe('going from event to event', () => {
  it('takes the nearest before or after, of the kinds that are wanted, and none outside the night', () => {
    expect(stepFrom(course, 'trouble', 0, 1)).toBe(60 * MIN);
    expect(stepFrom(course, 'trouble', 60 * MIN, 1)).toBe(90 * MIN);
    expect(stepFrom(course, 'trouble', 90 * MIN, 1)).toBe(null);
    expect(stepFrom(course, 'trouble', 60 * MIN, -1)).toBe(null);
    expect(stepFrom(course, 'missed', 60 * MIN, 1)).toBe(70 * MIN);
    expect(stepFrom(course, 'all', 0, 1)).toBe(5 * MIN);
    expect(stepFrom(course, 'all', 55 * MIN, -1)).toBe(52 * MIN);
  });

  it('goes by keys within the night, and by none that means nothing', () => {
    expect(keyFrom('ArrowRight', 1000, course)).toBe(2000);
    expect(keyFrom('ArrowLeft', 400, course)).toBe(0);
    expect(keyFrom('PageUp', 240 * MIN - 5, course)).toBe(240 * MIN);
    expect(keyFrom('Home', 90 * MIN, course)).toBe(0);
    expect(keyFrom('End', 90 * MIN, course)).toBe(240 * MIN);
    for (const key of ['a', 'Tab', 'constructor']) expect(keyFrom(key, 0, course)).toBe(null);
  });
});

describe('what the slider spans', () => {
  it('is the night, or a stretch around a moment that stays within it', () => {
    expect(spanAround(course, 'night', 90 * MIN)).toEqual({ from: 0, to: 240 * MIN });
    expect(spanAround(course, 'hour', 90 * MIN)).toEqual({ from: 60 * MIN, to: 120 * MIN });
    expect(spanAround(course, 'minutes', 0)).toEqual({ from: 0, to: 10 * MIN });
    expect(spanAround(course, 'hour', 239 * MIN)).toEqual({ from: 180 * MIN, to: 240 * MIN });
    expect(spanAround({ from: 0, to: 5 * MIN }, 'hour', MIN)).toEqual({ from: 0, to: 5 * MIN });
  });
});
