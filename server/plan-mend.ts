import { mendTonight, type NightState } from './plan/mend.ts';
import { movesAhead, runEndsAt } from './show/ahead.ts';
import type { PlannedStart } from './show/events.ts';
import { endMade, isPropLive, propOf } from './show/interlock.ts';
import { type Run, type Show, wallOf } from './show/show.ts';
import { expectsOf } from './show/travel.ts';

/** The rest of tonight's plan, mended for the show as it stands; null where nothing is left or the yard is not open. */
export function mendedFor(show: Show): PlannedStart[] | null {
  if (show.mode !== 'open' || !show.night) return null;
  const remaining = show.planned.filter((r) => r.state === 'planned');
  if (remaining.length === 0) return null;
  return mendTonight(show.yard, show.night, nightState(show)).runs;
}

/** The show as the plan sees it; all instants on the wall clock. */
function nightState(show: Show): NightState {
  const { yard, at } = show;
  const wall = (ms: number): number => wallOf(show, ms);
  const each = <T>(ids: Iterable<string>, of: (id: string) => T): Record<string, T> =>
    Object.fromEntries([...ids].map((id) => [id, of(id)]));
  return {
    nowMs: wall(at),
    running: show.runs.map((run) => runningOf(show, run)),
    remaining: show.planned
      .filter((r) => r.state === 'planned')
      .map(({ id, scene, startMs, drawnMs }) => ({ id, scene, startMs, drawnMs })),
    shutScenes: [...yard.scenes.values()].filter((s) => s.props.some((p) => isOut(show, p))).map((s) => s.id),
    propRests: each(yard.props.keys(), (id) => wall(show.props[id]!.restUntil)),
    sceneRests: each(yard.scenes.keys(), (id) => {
      const ended = show.scenes[id]!.lastEndAt;
      return ended === null ? 0 : wall(ended + yard.scenes.get(id)!.restMs);
    }),
    zoneGaps: each(yard.zones.keys(), (id) => show.zoneGaps[id]!.map(wall)),
    moved: each(yard.props.keys(), (id) =>
      show.props[id]!.spans.map(([a, b]) => [wall(a), wall(b)] as const),
    ),
    tanks: each(yard.tanks.keys(), (id) => ({ ...show.tanks[id]!, atMs: wall(show.tanks[id]!.atMs) })),
    at: each(
      [...yard.props.keys()].filter((id) => show.props[id]!.known),
      (id) => endMade(show, id, at),
    ),
    expects: expectsOf(show),
  };
}

/** Locked out, or not heard: its scenes wait without taking room from the others. */
const isOut = (show: Show, prop: string): boolean =>
  show.props[prop]!.lockout !== null || !isPropLive(show, prop, show.at);

function runningOf(show: Show, run: Run): NightState['running'][number] {
  const { at } = show;
  const wall = (ms: number): number => wallOf(show, ms);
  const underWay = show.yard.scenes.get(run.scene)!.props.flatMap((prop) => {
    const { flight, heldBy } = show.props[prop]!;
    if (!flight || heldBy !== run.id || !propOf(show, prop).moves.has(flight.move)) return [];
    const startMs = flight.countFrom ?? flight.sentAt;
    return [{ prop, move: flight.move, startMs, endMs: Math.max(startMs + flight.expectMs, at) }];
  });
  return {
    scene: run.scene,
    startMs: wall(run.startedAt),
    endMs: wall(runEndsAt(show, run, at)),
    moves: [...underWay, ...movesAhead(show, run, at)].map((m) => ({
      ...m,
      startMs: wall(m.startMs),
      endMs: wall(m.endMs),
    })),
  };
}
