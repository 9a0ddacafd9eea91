import { median } from '../trend/statistics.ts';
import type { Expects } from '../yard/timeline.ts';
import { expectedMs } from '../yard/timeline.ts';
import { type Show, TRAVELS_ENOUGH } from './show.ts';

const cache = new WeakMap<object, Expects>();

/**
 * Measured medians by `prop.move`, ms, of the `until` moves that have been timed often enough. Kept by the identity of
 * `show.props`, which changes whenever a prop does.
 */
export function expectsOf(show: Show): Expects {
  const kept = cache.get(show.props);
  if (kept) return kept;
  const out: Record<string, number> = {};
  for (const [id, state] of Object.entries(show.props)) {
    for (const [move, times] of Object.entries(state.travels)) {
      if (times.length >= TRAVELS_ENOUGH) out[`${id}.${move}`] = medianOf(times);
    }
  }
  cache.set(show.props, out);
  return out;
}

const medians = new WeakMap<readonly number[], number>();

function medianOf(times: readonly number[]): number {
  const kept = medians.get(times);
  if (kept !== undefined) return kept;
  const value = Math.round(median(times));
  medians.set(times, value);
  return value;
}

/** Expected length of a move now, ms: the measured median where there is one. */
export function expectNow(show: Show, prop: string, move: string): number {
  const times = show.props[prop]!.travels[move];
  const measured =
    times && times.length >= TRAVELS_ENOUGH ? { [`${prop}.${move}`]: medianOf(times) } : undefined;
  return expectedMs(show.yard, prop, move, measured);
}
