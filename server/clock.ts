import { performance } from 'node:perf_hooks';

/**
 * The desk's two clocks. Its axis begins at the wall clock and then follows the monotonic clock alone, so that no step
 * of the wall clock makes a deadline come early, late or twice; the wall clock only says what hour of the night it is.
 */
export interface Clock {
  /** The axis, ms. */
  now(): number;
  /** The wall clock, ms since 1970. */
  wall(): number;
  /** Wakes once, at or after this instant of the axis; a new call replaces the one before. */
  wakeAt(at: number, wake: () => void): void;
  /** Runs after what the loop has in hand, input among it. */
  soon(run: () => void): void;
  stop(): void;
}

/** A timer can't be set further than this; an earlier wake does no harm. */
const FURTHEST_MS = 2 ** 31 - 1;

/** A wall clock further off than this was never right, as one that began in 1970: then the axis begins at it anew. */
const OFFSET_KEPT_MS = 12 * 3_600_000;

/**
 * Where the axis of a start begins, ms: where that of the record would stand now, by the wall clock and what it was ahead
 * by (`offsetMs`), so that what the computer slept away or a clock was set by does not make rests and duties look longer
 * past than they are. Never before `notBefore`, the last event of the record.
 */
export function axisAt(wall: number, notBefore: number, offsetMs: number): number {
  return Math.max(Math.abs(offsetMs) <= OFFSET_KEPT_MS ? wall - offsetMs : wall, notBefore);
}

/** The machine's clocks; the axis goes on from the record: see `axisAt`. */
export function realClock(notBefore = 0, offsetMs = 0): Clock {
  const base = axisAt(Date.now(), notBefore, offsetMs) - performance.now();
  let timer: NodeJS.Timeout | undefined;
  const now = (): number => Math.round(base + performance.now());
  return {
    now,
    wall: () => Date.now(),
    wakeAt(at, wake) {
      clearTimeout(timer);
      timer = setTimeout(wake, Math.min(Math.max(0, at - now()), FURTHEST_MS));
    },
    soon: (run) => void setImmediate(run),
    stop: () => clearTimeout(timer),
  };
}
