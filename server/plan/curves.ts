import { advance, draw, freeLitres, fullTank, pressureKpa } from '../yard/air.ts';
import type { Tank, Yard } from '../yard/types.ts';
import { standingAmps } from './footprint.ts';
import type { PlanRun } from './tonight.ts';

/** A value from a moment on; ms from open. */
export interface Point {
  readonly at: number;
  readonly value: number;
}

/**
 * Current of a circuit over the night as steps, standing and compressors with it, from before open on.
 * At one instant what ends has ended before what starts.
 * @param surges counts each surge while it lasts; without it only the running currents
 */
export function ampsOf(yard: Yard, runs: readonly PlanRun[], circuit: string, surges: boolean): Point[] {
  const rises: Point[] = [];
  for (const run of runs) {
    for (const s of run.steps) {
      for (const load of yard.props.get(s.prop)!.moves.get(s.move)!.loads) {
        if (load.circuit !== circuit) continue;
        // In ms: in seconds the last bits would let a surge end after what starts as it ends.
        const [from, to] = [wholeMs(s.start), wholeMs(s.end)];
        const surged = surges ? Math.min(to, from + load.surgeMs) : from;
        if (surged > from) rises.push({ at: from, value: load.surgeAmps });
        rises.push({ at: surged, value: load.runAmps - (surged > from ? load.surgeAmps : 0) });
        rises.push({ at: to, value: -load.runAmps });
      }
    }
  }
  rises.sort((a, b) => a.at - b.at || a.value - b.value);
  const steps: Point[] = [{ at: 0, value: standingAmps(yard, circuit) }];
  let amps = steps[0]!.value;
  for (const rise of rises) {
    amps += rise.value;
    const last = steps[steps.length - 1]!;
    if (last.at === rise.at) steps[steps.length - 1] = { at: rise.at, value: amps };
    else steps.push({ at: rise.at, value: amps });
  }
  return steps;
}

/** Highest step. */
export function peakOf(steps: readonly Point[]): number {
  return steps.reduce((most, s) => Math.max(most, s.value), 0);
}

/** Gauge pressure of a tank over the night, kPa, as corners of a line: full at open, each draw a fall at its instant. */
export function pressuresOf(yard: Yard, runs: readonly PlanRun[], tank: Tank): Point[] {
  let level = fullTank(tank, 0);
  const line: Point[] = [{ at: 0, value: tank.cutOutKpa }];
  const full = freeLitres(tank, tank.cutOutKpa);
  for (const { at, litres } of drawsOf(yard, runs, tank)) {
    const before = advance(tank, level, at);
    if (level.pumping && !before.pumping) {
      const filledAt = level.atMs + ((full - level.litres) * 60_000) / tank.deliveryLpm;
      line.push({ at: Math.round(filledAt), value: tank.cutOutKpa });
    }
    line.push({ at, value: pressureKpa(tank, before.litres) });
    level = draw(tank, before, litres);
    line.push({ at, value: pressureKpa(tank, level.litres) });
  }
  if (level.pumping) {
    const filledAt = level.atMs + ((full - level.litres) * 60_000) / tank.deliveryLpm;
    line.push({ at: Math.round(filledAt), value: tank.cutOutKpa });
  }
  return line;
}

function drawsOf(yard: Yard, runs: readonly PlanRun[], tank: Tank): { at: number; litres: number }[] {
  const draws: { at: number; litres: number }[] = [];
  for (const run of runs)
    for (const s of run.steps)
      for (const air of yard.props.get(s.prop)!.moves.get(s.move)!.air)
        if (air.tank === tank.id) draws.push({ at: wholeMs(s.start), litres: air.litres });
  return draws.sort((a, b) => a.at - b.at);
}

function wholeMs(seconds: number): number {
  return Math.round(seconds * 1000);
}
