import type { Tank, Yard } from '../yard/types.ts';
import { bindingRules } from './binds.ts';
import { ampsOf, peakOf, pressuresOf } from './curves.ts';
import type { Problem } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { longestGapMs } from './score.ts';
import type { CircuitPeak, PlanRun, ScenePlan } from './tonight.ts';

const KPA_PER_PSI = 6.894757;

export function seconds(ms: number): number {
  return Math.round(ms) / 1000;
}

/** Amps and psi are told to two decimals. */
export function hundredths(x: number): number {
  return Math.round(x * 100) / 100;
}

export function psi(kpa: number): number {
  return hundredths(kpa / KPA_PER_PSI);
}

/** The runs in order of start, each numbered within its scene. */
export function runsOf(schedule: Schedule, night: string): PlanRun[] {
  const starts = schedule.problem.scenes.flatMap((scene) =>
    schedule.starts[scene.index]!.map((at, k) => ({ scene, at, number: k + 1 })),
  );
  starts.sort((a, b) => a.at - b.at || a.scene.index - b.scene.index);
  return starts.map(({ scene, at, number }) => ({
    id: `${night}.${scene.id}.${number}`,
    scene: scene.id,
    start: seconds(at),
    end: seconds(at + scene.lengthMs),
    steps: scene.moves.map((m) => ({
      prop: m.prop,
      move: m.move,
      start: seconds(at + m.startMs),
      end: seconds(at + m.endMs),
    })),
  }));
}

export function scenesOf(
  problem: Problem,
  starts: readonly (readonly number[])[],
): Record<string, ScenePlan> {
  const binding = bindingRules(problem, starts);
  const scenes: Record<string, ScenePlan> = Object.create(null);
  for (const scene of problem.scenes) {
    const own = starts[scene.index]!;
    const bound = binding.get(scene.id);
    scenes[scene.id] = {
      wanted: scene.wanted,
      planned: own.length,
      longestGap: seconds(longestGapMs(scene, own)),
      boundBy: bound ? { rule: bound.rule, id: bound.id } : null,
    };
  }
  return scenes;
}

/** Highest current of each circuit through the night, standing and compressors with it. */
export function peaksOf(yard: Yard, runs: readonly PlanRun[]): Record<string, CircuitPeak> {
  const peaks: Record<string, CircuitPeak> = Object.create(null);
  for (const { id, continuous, breakerAmps } of yard.circuits.values())
    peaks[id] = {
      peakAmps: hundredths(peakOf(ampsOf(yard, runs, id, false))),
      limitAmps: hundredths(continuous * breakerAmps),
      peakSurgeAmps: hundredths(peakOf(ampsOf(yard, runs, id, true))),
      breakerAmps: hundredths(breakerAmps),
    };
  return peaks;
}

/** Lowest pressure of a tank after any draw of the night. */
export function lowestPsi(yard: Yard, tank: Tank, runs: readonly PlanRun[]): number {
  const line = pressuresOf(yard, runs, tank);
  return psi(line.reduce((least, p) => Math.min(least, p.value), tank.cutOutKpa));
}

export function workingPsi(tank: Tank): number {
  return psi(tank.workingKpa);
}
