import { advance, draw, fullTank, pressureKpa } from '../yard/air.ts';
import type { Tank, Yard } from '../yard/types.ts';
import { bindingRules } from './binds.ts';
import { standingAmps } from './footprint.ts';
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

interface Rise {
  readonly at: number;
  readonly amps: number;
}

/** Highest current of each circuit through the night, standing and compressors with it. */
export function peaksOf(yard: Yard, runs: readonly PlanRun[]): Record<string, CircuitPeak> {
  const running = new Map<string, Rise[]>();
  const surging = new Map<string, Rise[]>();
  for (const id of yard.circuits.keys()) {
    running.set(id, []);
    surging.set(id, []);
  }
  for (const run of runs) {
    for (const s of run.steps) {
      for (const load of yard.props.get(s.prop)!.moves.get(s.move)!.loads) {
        // In ms: in seconds the last bits would let a surge end after what starts as it ends.
        const [from, to] = [Math.round(s.start * 1000), Math.round(s.end * 1000)];
        const surged = Math.min(to, from + load.surgeMs);
        running.get(load.circuit)!.push({ at: from, amps: load.runAmps }, { at: to, amps: -load.runAmps });
        surging
          .get(load.circuit)!
          .push(
            { at: from, amps: load.surgeAmps },
            { at: surged, amps: load.runAmps - load.surgeAmps },
            { at: to, amps: -load.runAmps },
          );
      }
    }
  }
  const peaks: Record<string, CircuitPeak> = Object.create(null);
  for (const circuit of yard.circuits.values()) {
    const standing = standingAmps(yard, circuit.id);
    peaks[circuit.id] = {
      peakAmps: hundredths(standing + highest(running.get(circuit.id)!)),
      limitAmps: hundredths(circuit.continuous * circuit.breakerAmps),
      peakSurgeAmps: hundredths(standing + highest(surging.get(circuit.id)!)),
      breakerAmps: hundredths(circuit.breakerAmps),
    };
  }
  return peaks;
}

/** Highest sum over time; at one instant what ends has ended before what starts. */
function highest(rises: Rise[]): number {
  rises.sort((a, b) => a.at - b.at || a.amps - b.amps);
  let sum = 0;
  let most = 0;
  for (const rise of rises) {
    sum += rise.amps;
    most = Math.max(most, sum);
  }
  return most;
}

/** Lowest pressure of a tank after any draw of the night. */
export function lowestPsi(yard: Yard, tank: Tank, runs: readonly PlanRun[]): number {
  let level = fullTank(tank, 0);
  let least = level.litres;
  for (const { at, litres } of drawsOf(yard, tank, runs)) {
    level = draw(tank, advance(tank, level, at), litres);
    least = Math.min(least, level.litres);
  }
  return psi(pressureKpa(tank, least));
}

/** What the runs draw of a tank, in order, ms from open. */
export function drawsOf(yard: Yard, tank: Tank, runs: readonly PlanRun[]): { at: number; litres: number }[] {
  const draws = runs.flatMap((run) =>
    run.steps.flatMap((s) =>
      yard.props
        .get(s.prop)!
        .moves.get(s.move)!
        .air.filter((a) => a.tank === tank.id)
        .map((a) => ({ at: Math.round(s.start * 1000), litres: a.litres })),
    ),
  );
  return draws.sort((a, b) => a.at - b.at);
}

export function workingPsi(tank: Tank): number {
  return psi(tank.workingKpa);
}
