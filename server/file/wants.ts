import { moveOf, timelineOf } from '../yard/timeline.ts';
import type { Circuit, Scene, Tank, Yard } from '../yard/types.ts';

/** What the yard would use if every scene ran as often as it aims to. Sums for the review; the plan decides. */

/** Scenes that aim to run, with their runs an hour. */
export function aims(yard: Yard): { scene: Scene; everyMs: number; anHour: number }[] {
  return [...yard.scenes.values()].flatMap((scene) =>
    scene.everyMs === null ? [] : [{ scene, everyMs: scene.everyMs, anHour: 3_600_000 / scene.everyMs }],
  );
}

export interface Peak {
  readonly scene: Scene;
  readonly runAmps: number;
  readonly surgeAmps: number;
}

/** The highest draws of each scene on a circuit with nothing else running; only scenes that draw. */
export function peaks(yard: Yard, circuit: Circuit): Peak[] {
  return [...yard.scenes.values()].flatMap((scene) => {
    const loads = loadsOf(yard, scene, circuit);
    let [runAmps, surgeAmps] = [0, 0];
    // Draws only ever rise when a move starts.
    for (const { startMs } of loads) {
      let [run, surge] = [0, 0];
      for (const l of loads) {
        if (startMs < l.startMs || startMs >= l.endMs) continue;
        run += l.runAmps;
        surge += startMs < l.startMs + l.surgeMs ? l.surgeAmps : l.runAmps;
      }
      runAmps = Math.max(runAmps, run);
      surgeAmps = Math.max(surgeAmps, surge);
    }
    return loads.length === 0 ? [] : [{ scene, runAmps, surgeAmps }];
  });
}

function loadsOf(yard: Yard, scene: Scene, circuit: Circuit) {
  return timelineOf(yard, scene).moves.flatMap((m) =>
    moveOf(yard, m.prop, m.move)
      .loads.filter((l) => l.circuit === circuit.id)
      .map((l) => ({ ...l, startMs: m.startMs, endMs: m.endMs })),
  );
}

/** Mean current of all that is wanted on a circuit, A, without what stands. */
export function meanAmps(yard: Yard, circuit: Circuit): number {
  let amps = 0;
  for (const { scene, everyMs } of aims(yard)) {
    for (const l of loadsOf(yard, scene, circuit)) amps += (l.runAmps * (l.endMs - l.startMs)) / everyMs;
  }
  return amps;
}

/** Free air that one run draws from a tank, l. */
export function airOf(yard: Yard, scene: Scene, tank: Tank): number {
  let litres = 0;
  for (const m of timelineOf(yard, scene).moves) {
    for (const a of moveOf(yard, m.prop, m.move).air) if (a.tank === tank.id) litres += a.litres;
  }
  return litres;
}

/** Free air that is wanted of a tank in an hour, l. */
export function airAnHour(yard: Yard, tank: Tank): number {
  return aims(yard).reduce((sum, { scene, anHour }) => sum + airOf(yard, scene, tank) * anHour, 0);
}

/** Share of the time that a prop is wanted moving. */
export function movingShare(yard: Yard, prop: string): number {
  let share = 0;
  for (const { scene, everyMs } of aims(yard)) {
    for (const m of timelineOf(yard, scene).moves)
      if (m.prop === prop) share += (m.endMs - m.startMs) / everyMs;
  }
  return share;
}

/** Share of the time that a prop is wanted held or resting. */
export function heldShare(yard: Yard, prop: string): number {
  const restMs = yard.props.get(prop)!.restMs;
  let share = 0;
  for (const { scene, everyMs } of aims(yard)) {
    if (scene.props.includes(prop)) share += (timelineOf(yard, scene).lengthMs + restMs) / everyMs;
  }
  return share;
}

/** Seconds of a zone that are wanted in each second: scenes in it with their gaps. */
export function zoneShare(yard: Yard, zone: string): number {
  const gapMs = yard.zones.get(zone)!.gapMs;
  let share = 0;
  for (const { scene, everyMs } of aims(yard)) {
    if (scene.zone === zone) share += (timelineOf(yard, scene).lengthMs + gapMs) / everyMs;
  }
  return share;
}
