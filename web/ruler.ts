import type { UnplannedRun } from '../server/picture.ts';
import type { FatedPlan } from './store.ts';

/** The clock ruler: which stretch of the night it shows, its marks in the yard's local time, and where runs lie on it. */

export interface Stretch {
  readonly fromMs: number;
  readonly toMs: number;
}

export type Reach = 'minutes' | 'hour' | 'night';
export const REACHES: readonly Reach[] = ['minutes', 'hour', 'night'];

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const LENGTHS = { minutes: 20 * MINUTE_MS, hour: HOUR_MS };
/** Where now stands on the ruler, as a share of its length: more is to come than was. */
const NOW_AT = 0.3;
/** Steps between marks that a person counts in, ms. */
const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 180, 360].map((minutes) => minutes * MINUTE_MS);

/** What is shown: now stands still and the night moves under it; `movedMs` is how far a person has moved it by hand. */
export function stretchOf(reach: Reach, plan: Stretch, nowMs: number, movedMs: number): Stretch {
  if (reach === 'night') {
    const margin = (plan.toMs - plan.fromMs) * 0.02;
    return { fromMs: plan.fromMs - margin, toMs: plan.toMs + margin };
  }
  return stretchOfLength(LENGTHS[reach], nowMs, movedMs);
}

const offsets = new Map<string, Intl.DateTimeFormat>();

/** How far a zone's clock stands ahead of UTC at an instant, ms. */
export function offsetAt(atMs: number, timezone: string): number {
  let format = offsets.get(timezone);
  if (!format) {
    const parts = { year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit' } as const;
    format = new Intl.DateTimeFormat('en-GB', {
      ...parts,
      minute: '2-digit',
      second: '2-digit',
      hourCycle: 'h23',
      timeZone: timezone,
    });
    offsets.set(timezone, format);
  }
  const whole = Math.floor(atMs / 1000) * 1000;
  const read = Object.fromEntries(
    format.formatToParts(whole).map(({ type, value }) => [type, Number(value)]),
  );
  const wall = Date.UTC(read.year!, read.month! - 1, read.day!, read.hour!, read.minute!, read.second!);
  return wall - whole;
}

/** Round local times of a stretch, at most `most`; a clock change neither shifts nor doubles them. */
export function ticksOf({ fromMs, toMs }: Stretch, timezone: string, most: number): number[] {
  const step = STEPS.find((ms) => (toMs - fromMs) / ms <= most) ?? STEPS.at(-1)!;
  const ticks: number[] = [];
  // Quarters of an hour: every zone's offset is a whole number of them. Finer steps go by themselves.
  const grain = Math.min(step, 15 * MINUTE_MS);
  for (let at = Math.ceil(fromMs / grain) * grain; at <= toMs; at += grain) {
    const local = at + offsetAt(at, timezone);
    if (((local % step) + step) % step === 0) ticks.push(at);
  }
  return ticks;
}

/** On which side of a place its words stand, so that none are cut off within `edge` of either end; all in pixels. */
export function anchorOf(x: number, wide: number, edge: number): 'start' | 'middle' | 'end' {
  if (x < edge) return 'start';
  return x > wide - edge ? 'end' : 'middle';
}

/** The first change of the clock within a stretch, and by how much it goes; null where there is none. */
export function clockChangeOf(
  { fromMs, toMs }: Stretch,
  timezone: string,
): { atMs: number; byMs: number } | null {
  const before = offsetAt(fromMs, timezone);
  for (let end = fromMs + HOUR_MS; end < toMs + HOUR_MS; end += HOUR_MS) {
    if (offsetAt(end, timezone) === before) continue;
    let low = end - HOUR_MS;
    let high = end;
    while (high - low > 1000) {
      const middle = (low + high) / 2;
      if (offsetAt(middle, timezone) === before) low = middle;
      else high = middle;
    }
    // Clocks change at a full minute.
    const atMs = Math.floor(high / MINUTE_MS) * MINUTE_MS;
    return atMs > toMs ? null : { atMs, byMs: offsetAt(end, timezone) - before };
  }
  return null;
}

export interface Placed {
  readonly run: FatedPlan['runs'][number];
  /** As planned, ms since 1970. */
  readonly planned: Stretch;
  /** As it really went, up to now where it still runs; null where it has not begun. */
  readonly actual: Stretch | null;
  /** Runs that overlap in a zone lie in lanes of their own, from 0. */
  readonly lane: number;
}

/** The runs of some scenes that reach into a stretch, each in the first lane that is free. */
export function placedIn(
  plan: FatedPlan,
  stretch: Stretch,
  nowMs: number,
  ours: (scene: string) => boolean,
): Placed[] {
  const openMs = Date.parse(plan.open);
  const laneFor = lanes();
  const placed: Placed[] = [];
  for (const run of plan.runs) {
    if (!ours(run.scene)) continue;
    const planned = { fromMs: openMs + run.start * 1000, toMs: openMs + run.end * 1000 };
    const actual =
      run.actualStart === null
        ? null
        : { fromMs: run.actualStart, toMs: run.actualEnd ?? Math.max(nowMs, run.actualStart) };
    const from = Math.min(planned.fromMs, actual?.fromMs ?? Number.POSITIVE_INFINITY);
    const to = Math.max(planned.toMs, actual?.toMs ?? 0);
    if (to < stretch.fromMs || from > stretch.toMs) continue;
    placed.push({ run, planned, actual, lane: laneFor(from, to) });
  }
  return placed;
}

export interface Unplanned {
  readonly run: UnplannedRun;
  /** As it went, up to now where it still runs. */
  readonly actual: Stretch;
  /** Below those of the plan, from 0 again. */
  readonly lane: number;
}

/** The runs of some scenes that are on no plan and reach into a stretch, each in the first lane that is free. */
export function unplannedIn(
  { unplanned }: Pick<FatedPlan, 'unplanned'>,
  stretch: Stretch,
  nowMs: number,
  ours: (scene: string) => boolean,
): Unplanned[] {
  const laneFor = lanes();
  const placed: Unplanned[] = [];
  for (const run of unplanned) {
    if (!ours(run.scene)) continue;
    const fromMs = run.actualStart;
    // of one that was cut off with its record nobody knows the end
    const toMs = Math.max(fromMs, run.actualEnd ?? (run.state === 'running' ? nowMs : fromMs));
    if (toMs < stretch.fromMs || fromMs > stretch.toMs) continue;
    placed.push({ run, actual: { fromMs, toMs }, lane: laneFor(fromMs, toMs) });
  }
  return placed;
}

/** Gives each stretch the first lane that is free by its start; they come in order of start. */
function lanes(): (fromMs: number, toMs: number) => number {
  const ends: number[] = [];
  return (fromMs, toMs) => {
    const free = ends.findIndex((end) => end <= fromMs);
    const lane = free === -1 ? ends.length : free;
    ends[lane] = toMs;
    return lane;
  };
}

/** The shortest stretch that fingers can spread to, ms. */
const SHORTEST_MS = 120_000;

/** A stretch moved under a finger by so many pixels of so many: what lay under it still does. */
export function dragged({ fromMs, toMs }: Stretch, byPx: number, widePx: number): Stretch {
  const byMs = ((toMs - fromMs) * byPx) / Math.max(1, widePx);
  return { fromMs: fromMs - byMs, toMs: toMs - byMs };
}

/**
 * A stretch drawn apart (`by` above 1) or together around a place of it, 0 to 1 from its left: what lay there still does.
 * No shorter than two minutes, no longer than `longestMs`.
 */
export function spread({ fromMs, toMs }: Stretch, by: number, place: number, longestMs: number): Stretch {
  const was = toMs - fromMs;
  const length = Math.min(Math.max(was / by, SHORTEST_MS), Math.max(longestMs, SHORTEST_MS));
  const held = fromMs + was * place;
  return { fromMs: held - length * place, toMs: held + length * (1 - place) };
}

/** A stretch of a length of one's own: as `stretchOf`, where now stands still in it. */
export function stretchOfLength(lengthMs: number, nowMs: number, movedMs: number): Stretch {
  const fromMs = nowMs - lengthMs * NOW_AT + movedMs;
  return { fromMs, toMs: fromMs + lengthMs };
}

/** How far by hand a stretch has been moved from where now would stand at its place. */
export function movedOf({ fromMs, toMs }: Stretch, nowMs: number): number {
  return fromMs - (nowMs - (toMs - fromMs) * NOW_AT);
}
