import { halt } from './halt.ts';
import { propOf } from './interlock.ts';
import type { RunEnd } from './reasons.ts';
import { type PlannedRun, type Run, wallOf } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * How runs end. A run that fails starts no further step: moves of it whose needs name the failed prop are halted,
 * others end; then what `if-it-fails` lists is done; then it lets go of its props. After a stop nothing is tidied.
 */

/** Begins the end of a run that can't go on. The first cause stands; a later one changes nothing. */
export function failRun(
  turn: Turn,
  id: string,
  as: 'failed' | 'abandoned',
  why: RunEnd,
  prop: string | null,
): void {
  const run = turn.run(id);
  if (!run || run.ends) return;
  turn.setRun(id, { state: 'failing', ends: { as, why, prop }, waitsFor: null, toHome: [], since: turn.at });
  if (prop === null) return;
  for (const held of turn.yard.scenes.get(run.scene)!.props) {
    const flight = turn.prop(held).flight;
    if (!flight || held === prop || turn.prop(held).heldBy !== id) continue;
    const names = propOf(turn.show, held)
      .moves.get(flight.move)!
      .needs.some((n) => n.prop === prop);
    if (names && flight.arrivedAt === null) halt(turn, held, 'interlock');
  }
}

/** Lets go of everything a run holds and says what became of it. */
export function endRun(turn: Turn, id: string, state: PlannedRun['state'], why: RunEnd): void {
  const run = turn.run(id)!;
  const scene = turn.yard.scenes.get(run.scene)!;
  turn.show.runs = turn.show.runs.filter((r) => r.id !== id);
  for (const prop of scene.props) letGo(turn, run, prop);
  const before = turn.show.scenes[scene.id]!;
  turn.setScene(scene.id, { lastEndAt: turn.at, made: before.made + (state === 'done' ? 1 : 0) });
  if (scene.zone) {
    const ends = turn.show.zoneGaps[scene.zone]!.filter((t) => t > turn.at);
    const gapMs = turn.yard.zones.get(scene.zone)!.gapMs;
    turn.show.zoneGaps = {
      ...turn.show.zoneGaps,
      [scene.zone]: gapMs > 0 ? [...ends, turn.at + gapMs] : ends,
    };
  }
  setPlanned(turn, id, { state, actualEndMs: wallOf(turn.show, turn.at), why });
  const told: RunEnd = run.journeys.length > 0 ? { ...why, journeys: run.journeys } : why;
  turn.record(told, { scene: scene.id, run: id });
  if (state !== 'done') turn.mend();
}

function letGo(turn: Turn, run: Run, id: string): void {
  const p = turn.prop(id);
  if (p.heldBy !== run.id) return;
  const cycles = p.cycles + (run.moved.includes(id) ? 1 : 0);
  const every = propOf(turn.show, id).serviceEvery;
  const due = every !== null && cycles - p.serviceCalledAt >= every;
  turn.setProp(id, {
    heldBy: null,
    restUntil: turn.at + propOf(turn.show, id).restMs,
    cycles,
    serviceCalledAt: due ? cycles : p.serviceCalledAt,
  });
  if (due) turn.record({ code: 'service-due', prop: id, cycles }, { prop: id });
}

export function setPlanned(turn: Turn, id: string, change: Partial<PlannedRun>): void {
  const index = turn.show.planned.findIndex((r) => r.id === id);
  if (index < 0) return;
  const planned = [...turn.show.planned];
  planned[index] = { ...planned[index]!, ...change };
  turn.show.planned = planned;
}
