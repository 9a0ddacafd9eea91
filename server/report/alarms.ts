/*
 * How many alarms one person had to take in, against the published figures: about one in ten minutes can be kept up
 * with (ISA-18.2-2009: about 150 a day; IEC 62682:2014: about 144), twice that is the most; a flood begins with ten in
 * ten minutes and ends once fewer than five came in ten, and less than 1 % of the time should be flood (EEMUA 191,
 * ISA-18.2). What follows another fault is grouped under it and is no alarm of its own.
 */

const TEN_MINUTES_MS = 600_000;
const DAY_MS = 86_400_000;
const WELL_A_DAY = 150;
const MOST_A_DAY = 2 * WELL_A_DAY;
const FLOOD_FROM = 10;
const FLOOD_UNTIL_BELOW = 5;
/** Share of the time that may be flood. */
export const FLOOD_SHARE_MOST = 0.01;

/** The figures are for hours and days on end: a shorter span says nothing about how one person keeps up. Our own choice. */
const JUDGED_FROM_MS = 3_600_000;

export interface AlarmRate {
  count: number;
  /** The span it is reckoned over, ms. */
  overMs: number;
  /** On average; 0 over no time. */
  perTenMinutes: number;
  mostInTenMinutes: number;
  floods: { from: number; to: number; alarms: number }[];
  /** Share of the span that was flood, 0 to 1. */
  floodShare: number;
  /** By the average alone: one person keeps up, or just about, or does not. */
  load: 'well' | 'at-most' | 'too-many';
}

/** Whether the span is long enough to hold the rate against the published figures. */
export function isJudged(a: AlarmRate): boolean {
  return a.overMs >= JUDGED_FROM_MS;
}

/** The rate of alarms at these instants, ms, between two others; those outside are left out. */
export function alarmRate(times: readonly number[], fromMs: number, toMs: number): AlarmRate {
  const inside = times.filter((t) => t >= fromMs && t < toMs).sort((a, b) => a - b);
  const overMs = Math.max(0, toMs - fromMs);
  const a = inside.length;
  const floods = floodsOf(inside, toMs);
  const flooded = floods.reduce((sum, f) => sum + f.to - f.from, 0);
  const perDay = overMs === 0 ? 0 : (a / overMs) * DAY_MS;
  return {
    count: a,
    overMs,
    perTenMinutes: overMs === 0 ? 0 : (a / overMs) * TEN_MINUTES_MS,
    mostInTenMinutes: Math.max(
      0,
      ...inside.map((t, i) => i + 1 - inside.findIndex((s) => s > t - TEN_MINUTES_MS)),
    ),
    floods,
    floodShare: overMs === 0 ? 0 : flooded / overMs,
    load: perDay <= WELL_A_DAY ? 'well' : perDay <= MOST_A_DAY ? 'at-most' : 'too-many',
  };
}

/** Of times in order: a flood lasts from the alarm that makes it ten to the moment when fewer than five are left. */
function floodsOf(times: readonly number[], toMs: number): AlarmRate['floods'] {
  const out: AlarmRate['floods'] = [];
  for (let i = FLOOD_FROM - 1; i < times.length; i++) {
    const first = i - FLOOD_FROM + 1;
    if (times[i]! - times[first]! >= TEN_MINUTES_MS) continue;
    let last = i;
    const overAt = (): number => times[last - FLOOD_UNTIL_BELOW + 1]! + TEN_MINUTES_MS;
    while (last + 1 < times.length && times[last + 1]! <= overAt()) last += 1;
    out.push({ from: times[i]!, to: Math.min(overAt(), toMs), alarms: last - first + 1 });
    i = last;
  }
  return out;
}
