import { advance, draw, freeLitres, pressureKpa, type TankLevel } from '../yard/air.ts';
import type { Move, Yard } from '../yard/types.ts';
import { movesAhead } from './ahead.ts';
import { propOf } from './interlock.ts';
import type { Reason } from './reasons.ts';
import { axisOf, type Flight, type Run, type Show } from './show.ts';

/*
 * What the circuits and tanks bear: now, from the moves under way; and as far as the runs under way reach, from their
 * expected times. The plan has a profile of its own; this one judges the moment of a start, when the real state decides.
 */

/** A stretch in which a move draws, on the desk's axis. Its air is drawn at `startMs` (NaN: drawn already). */
export interface Stretch {
  readonly move: Move;
  readonly startMs: number;
  readonly endMs: number;
  readonly airAtMs: number;
}

/** Standing draw of a circuit with the compressors on it: they start by themselves. */
export function standingAmps(yard: Yard, circuit: string): number {
  let amps = yard.circuits.get(circuit)!.standingAmps;
  for (const tank of yard.tanks.values())
    if (tank.compressor.circuit === circuit) amps += tank.compressor.amps;
  return amps;
}

/** The moves under way, a silent prop's among them: it may still draw. */
export function flightsNow(show: Show): { prop: string; flight: Flight }[] {
  const out: { prop: string; flight: Flight }[] = [];
  for (const prop of show.yard.props.keys()) {
    const flight = show.props[prop]!.flight;
    if (flight && !flight.freed) out.push({ prop, flight });
  }
  return out;
}

/** When a move under way should end: a moment past now where it is late; of a lost one nobody knows. */
export function expectedEnd(flight: Flight, at: number): number {
  if (flight.lost) return Number.POSITIVE_INFINITY;
  return Math.max((flight.countFrom ?? flight.sentAt) + flight.expectMs, at + 1);
}

function stretchOf(show: Show, prop: string, flight: Flight, at: number): Stretch {
  const move = propOf(show, prop).moves.get(flight.move)!;
  // not started yet, or told again: its surge is still to come
  const from = flight.countFrom ?? at;
  return { move, startMs: from, endMs: expectedEnd(flight, at), airAtMs: Number.NaN };
}

/** Steps of a run that are still to come, as stretches that draw. */
function stretchesAhead(show: Show, run: Run, at: number): Stretch[] {
  return movesAhead(show, run, at).map((m) => ({
    move: propOf(show, m.prop).moves.get(m.move)!,
    startMs: m.startMs,
    endMs: m.endMs,
    airAtMs: m.startMs,
  }));
}

/** Everything under way and still to come of the runs under way. */
export function stretchesOf(show: Show, at: number, except: string | null = null): Stretch[] {
  const out = flightsNow(show).map(({ prop, flight }) => stretchOf(show, prop, flight, at));
  for (const run of show.runs) if (run.id !== except) out.push(...stretchesAhead(show, run, at));
  return out;
}

const drawAt = (s: Stretch, circuit: string, t: number): { run: number; peak: number } => {
  if (t < s.startMs || t >= s.endMs) return { run: 0, peak: 0 };
  let run = 0;
  let peak = 0;
  for (const load of s.move.loads) {
    if (load.circuit !== circuit) continue;
    run += load.runAmps;
    peak += t < s.startMs + load.surgeMs ? load.surgeAmps : load.runAmps;
  }
  return { run, peak };
};

/** Rounding noise of summed decimals must not refuse a load that sits exactly at its limit. */
const AMPS_GRAIN = 1e-9;
const LITRES_GRAIN = 1e-9;

/**
 * Whether adding `wanted` to what is there exceeds a circuit at any moment. Both rules: standing + running within
 * the continuous share; standing + draws with surges within the breaker. Draws change only where a stretch begins, so
 * only those instants are looked at.
 */
export function circuitAgainst(
  show: Show,
  there: readonly Stretch[],
  wanted: readonly Stretch[],
): Reason | null {
  const circuits = new Set(wanted.flatMap((s) => s.move.loads.map((l) => l.circuit)));
  const all = [...there, ...wanted];
  const from = Math.min(...wanted.map((s) => s.startMs));
  const to = Math.max(...wanted.map((s) => s.endMs));
  for (const id of circuits) {
    const c = show.yard.circuits.get(id)!;
    const standing = standingAmps(show.yard, id);
    const mine = all.filter((s) => s.move.loads.some((l) => l.circuit === id));
    for (const t of new Set([from, ...mine.map((s) => s.startMs)])) {
      if (t < from || t >= to) continue;
      let run = standing;
      let peak = standing;
      for (const s of mine) {
        const d = drawAt(s, id, t);
        run += d.run;
        peak += d.peak;
      }
      const limitAmps = c.continuous * c.breakerAmps;
      if (run > limitAmps + AMPS_GRAIN) return { code: 'circuit', circuit: id, amps: run, limitAmps };
      if (peak > c.breakerAmps + AMPS_GRAIN)
        return { code: 'surge', circuit: id, amps: peak, breakerAmps: c.breakerAmps };
    }
  }
  return null;
}

/** Whether a tank falls below its working pressure at any draw, the wanted ones among them. */
export function tankAgainst(
  show: Show,
  there: readonly Stretch[],
  wanted: readonly Stretch[],
): Reason | null {
  const ids = new Set(wanted.flatMap((s) => s.move.air.map((a) => a.tank)));
  for (const id of ids) {
    const tank = show.yard.tanks.get(id)!;
    const draws: { at: number; litres: number }[] = [];
    for (const s of [...there, ...wanted]) {
      if (Number.isNaN(s.airAtMs)) continue;
      for (const a of s.move.air) if (a.tank === id) draws.push({ at: s.airAtMs, litres: a.litres });
    }
    draws.sort((a, b) => a.at - b.at);
    let level: TankLevel = show.tanks[id]!;
    for (const d of draws) {
      level = draw(tank, advance(tank, level, Math.max(d.at, level.atMs)), d.litres);
      if (level.litres < freeLitres(tank, tank.workingKpa) - LITRES_GRAIN)
        return { code: 'tank', tank: id, kpa: pressureKpa(tank, level.litres), workingKpa: tank.workingKpa };
    }
  }
  return null;
}

/** Present draw of a circuit, running and with surges, standing included. */
export function ampsNow(show: Show, circuit: string, at: number): { run: number; peak: number } {
  const standing = standingAmps(show.yard, circuit);
  let run = standing;
  let peak = standing;
  for (const { prop, flight } of flightsNow(show)) {
    const d = drawAt(stretchOf(show, prop, flight, at), circuit, at);
    run += d.run;
    peak += d.peak;
  }
  return { run, peak };
}

/** Whether a prop moving for `ms` from now would exceed its duty in any window; spans are its past movements. */
export function dutyAgainst(
  show: Show,
  prop: string,
  wanted: readonly (readonly [number, number])[],
): Reason | null {
  const duty = propOf(show, prop).duty;
  if (!duty) return null;
  const spans = [...show.props[prop]!.spans, ...wanted];
  for (const [, end] of wanted) {
    // a window is worst where it ends at the end of a movement
    let moved = 0;
    for (const [a, b] of spans) moved += Math.max(0, Math.min(b, end) - Math.max(a, end - duty.overMs));
    if (moved > duty.on * duty.overMs + 1e-6) return { code: 'duty', prop, on: duty.on, overMs: duty.overMs };
  }
  // … or where it begins at the beginning of one
  for (const [begin] of spans) {
    let moved = 0;
    for (const [a, b] of spans) moved += Math.max(0, Math.min(b, begin + duty.overMs) - Math.max(a, begin));
    if (moved > duty.on * duty.overMs + 1e-6 && wanted.some(([a]) => a < begin + duty.overMs))
      return { code: 'duty', prop, on: duty.on, overMs: duty.overMs };
  }
  return null;
}

/** The instant, on the axis, by which loud moves must end; Infinity where tonight has no quiet. */
export const quietAt = (show: Show): number =>
  show.night?.quietMs === null || show.night === null
    ? Number.POSITIVE_INFINITY
    : axisOf(show, show.night.quietMs);
export const closeAt = (show: Show): number =>
  show.night === null ? Number.POSITIVE_INFINITY : axisOf(show, show.night.closeMs);
