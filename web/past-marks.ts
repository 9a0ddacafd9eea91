import type { Course } from '../server/past/course.ts';

/** Which events one steps to, each with those before it. */
export const STEPS = ['trouble', 'missed', 'all'] as const;
export type Steps = (typeof STEPS)[number];

export const PAST_REACHES = ['night', 'hour', 'minutes'] as const;
export type PastReach = (typeof PAST_REACHES)[number];

const LENGTHS = { hour: 3_600_000, minutes: 600_000 };

/** What the slider spans, ms: the night, or a stretch of it around a moment that ends where the night does. */
export function spanAround(
  course: Pick<Course, 'from' | 'to'>,
  reach: PastReach,
  at: number,
): { from: number; to: number } {
  if (reach === 'night' || course.to - course.from <= LENGTHS[reach])
    return { from: course.from, to: course.to };
  const length = LENGTHS[reach];
  const from = Math.min(Math.max(at - length / 2, course.from), course.to - length);
  return { from, to: from + length };
}

/** The nearest event before (`by` −1) or after (1) a moment; null where there is none. */
export function stepFrom(course: Course, steps: Steps, at: number, by: -1 | 1): number | null {
  const ats = [...course.faults, ...course.stops];
  if (steps !== 'trouble') ats.push(...course.missed);
  if (steps === 'all') ats.push(...course.turns, ...course.runs.flat());
  const beyond = ats.filter(
    (one) => one >= course.from && one <= course.to && (by < 0 ? one < at : one > at),
  );
  if (beyond.length === 0) return null;
  return beyond.reduce((best, one) => (by < 0 ? Math.max(best, one) : Math.min(best, one)));
}

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;

/** Where a key leads, ms; null for a key that means nothing here. A slider's own steps would be a share of the night. */
export function keyFrom(key: string, at: number, { from, to }: { from: number; to: number }): number | null {
  const steps: Record<string, number> = {
    ArrowLeft: -SECOND_MS,
    ArrowDown: -SECOND_MS,
    ArrowRight: SECOND_MS,
    ArrowUp: SECOND_MS,
    PageDown: -MINUTE_MS,
    PageUp: MINUTE_MS,
    Home: from - at,
    End: to - at,
  };
  if (!Object.hasOwn(steps, key)) return null;
  return Math.min(Math.max(at + steps[key]!, from), to);
}
