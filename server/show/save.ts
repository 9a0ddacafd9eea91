import type { Yard } from '../yard/types.ts';
import { newLink, newProp, newScene, newShow } from './fresh.ts';
import type { PlannedRun, PropState, Show } from './show.ts';

/** The show as JSON, without the yard: what a snapshot keeps. */
export function saveShow(show: Show): string {
  const { yard: _, ...rest } = show;
  return JSON.stringify(rest);
}

/**
 * A show from its JSON and the yard it belongs to. Where the file has changed since, what is new begins as new, and of what
 * is gone lockouts and counts are kept in case it comes back.
 */
export function loadShow(json: string, yard: Yard): Show {
  const kept = JSON.parse(json) as Omit<Show, 'yard'>;
  const fresh = newShow(yard);
  const each = <T>(
    now: Readonly<Record<string, T>>,
    was: Readonly<Record<string, T>>,
    make: (id: string) => T,
  ) =>
    Object.fromEntries(
      Object.keys(now).map((id) => [id, { ...make(id), ...(Object.hasOwn(was, id) ? was[id] : {}) }]),
    ) as Record<string, T>;
  const planned = plannedOf(kept.planned, yard);
  const runs = kept.runs
    .filter((r) => yard.scenes.has(r.scene))
    .map((r) => ({ ...r, journeys: r.journeys ?? [] }));
  return {
    ...fresh,
    ...kept,
    yard,
    runs,
    nextNight: kept.nextNight && {
      ...kept.nextNight,
      planned: plannedOf(kept.nextNight.planned, yard),
    },
    desk: { ...fresh.desk, ...kept.desk },
    stop: { ...fresh.stop, ...kept.stop },
    gone: goneOf(kept, yard),
    counters: { ...fresh.counters, ...kept.counters },
    planned,
    plannedFrom: planned.length === kept.planned.length ? kept.plannedFrom : 0,
    controllers: each(fresh.controllers, kept.controllers, newLink),
    props: withoutGoneMoves(each(fresh.props, { ...kept.gone, ...kept.props }, newProp), yard),
    scenes: each(fresh.scenes, kept.scenes, newScene),
    tanks: each(fresh.tanks, kept.tanks, (id) => fresh.tanks[id]!),
    zoneGaps: Object.fromEntries(
      Object.keys(fresh.zoneGaps).map((id) => [
        id,
        Object.hasOwn(kept.zoneGaps, id) ? kept.zoneGaps[id]! : [],
      ]),
    ),
  };
}

/** A move under way that the file no longer knows can't be judged any more. */
function withoutGoneMoves(props: Record<string, PropState>, yard: Yard): Record<string, PropState> {
  for (const [id, p] of Object.entries(props)) {
    if (p.flight && !yard.props.get(id)!.moves.has(p.flight.move)) props[id] = { ...p, flight: null };
  }
  return props;
}

/** Runs of scenes that the file still has. One kept before plans were mended was drawn up for when it was to start. */
const plannedOf = (runs: readonly PlannedRun[], yard: Yard): PlannedRun[] =>
  runs.filter((r) => yard.scenes.has(r.scene)).map((r) => ({ ...r, drawnMs: r.drawnMs ?? r.startMs }));

/** More than a file would lose by mistake; the oldest are forgotten first. */
const GONE_MOST = 200;

/** Props that are not in the file now: commented out for an evening, they come back with their lockout and counts. */
function goneOf(kept: Omit<Show, 'yard'>, yard: Yard): Record<string, PropState> {
  const all = Object.entries({ ...kept.gone, ...kept.props });
  const gone = all.filter(([id]) => !yard.props.has(id));
  return Object.fromEntries(
    gone.slice(-GONE_MOST).map(([id, p]) => [id, { ...p, flight: null, heldBy: null }]),
  );
}
