import type { StoredLine } from '../journal/port.ts';
import type { Journey, ReasonOf } from '../show/reasons.ts';
import { median, robustSigma } from '../trend/statistics.ts';
import type { Yard } from '../yard/types.ts';

export interface TravelReport {
  prop: string;
  title: string;
  move: string;
  /** Whole journeys from one end to another; none of a homing or of the bench. */
  count: number;
  medianMs: number;
  /** Two journeys in three lie within so much of the median: their median deviation, scaled to a standard deviation. */
  spreadMs: number;
  leastMs: number;
  mostMs: number;
  /** By the present file; null where it no longer has the move. */
  usualMs: number | null;
  limitMs: number | null;
  /** As the night's end found it: the trend over the last nights. */
  drift: { nightsLeft: number; fromMs: number; nowMs: number } | null;
}

export interface ServiceReport {
  at: number;
  prop: string;
  title: string;
  cycles: number;
  text: string;
}

/** The travel times that the lines of the runs' ends bear, by prop and move, in the order of the file. */
export function travelsOf(yard: Yard, lines: readonly StoredLine[]): TravelReport[] {
  const times = new Map<string, number[]>();
  for (const line of lines) {
    const { journeys } = JSON.parse(line.reason) as { journeys?: readonly Journey[] };
    for (const [prop, move, ms] of journeys ?? []) {
      const key = JSON.stringify([prop, move]);
      const known = times.get(key);
      if (known) known.push(ms);
      else times.set(key, [ms]);
    }
  }
  const inFile = [...yard.props.keys()];
  const place = (id: string): number => (inFile.includes(id) ? inFile.indexOf(id) : inFile.length);
  return [...times]
    .map(([key, list]) => travelOf(yard, lines, JSON.parse(key) as [string, string], list))
    .sort((a, b) => place(a.prop) - place(b.prop));
}

function travelOf(
  yard: Yard,
  lines: readonly StoredLine[],
  [prop, move]: readonly [string, string],
  times: readonly number[],
): TravelReport {
  const known = yard.props.get(prop);
  const inFile = known?.moves.get(move);
  return {
    prop,
    title: known?.title ?? prop,
    move,
    count: times.length,
    medianMs: median(times),
    spreadMs: robustSigma(times),
    leastMs: Math.min(...times),
    mostMs: Math.max(...times),
    usualMs: inFile?.usualMs ?? null,
    limitMs: inFile?.limitMs ?? null,
    drift: driftIn(lines, prop, move),
  };
}

function driftIn(lines: readonly StoredLine[], prop: string, move: string): TravelReport['drift'] {
  const line = lines.findLast((l) => l.code === 'lockout-raised' && l.prop === prop && isDrift(l, move));
  if (!line) return null;
  const { fault } = JSON.parse(line.reason) as ReasonOf<'lockout-raised'>;
  return { nightsLeft: fault.nights ?? 0, fromMs: fault.usualMs ?? 0, nowMs: fault.tookMs ?? 0 };
}

function isDrift(line: StoredLine, move: string): boolean {
  const { fault } = JSON.parse(line.reason) as ReasonOf<'lockout-raised'>;
  return fault.code === 'drift' && fault.move === move;
}

export function serviceOf(yard: Yard, lines: readonly StoredLine[]): ServiceReport[] {
  return lines
    .filter((l) => l.code === 'service-due')
    .map((l) => {
      const { prop, cycles } = JSON.parse(l.reason) as ReasonOf<'service-due'>;
      return { at: l.at, prop, title: yard.props.get(prop)?.title ?? prop, cycles, text: l.text };
    });
}
