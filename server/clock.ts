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

/** The machine's clocks. `notBefore`: the axis goes on from the record even where the wall clock has fallen behind it. */
export function realClock(notBefore = 0): Clock {
  const base = Math.max(Date.now(), notBefore) - performance.now();
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
