import type { Yard } from '../yard/types.ts';
import { newLink, newProp, newScene, newShow, type PropState, type Show } from './show.ts';

/** The show as JSON, without the yard: what a snapshot keeps. */
export function saveShow(show: Show): string {
  const { yard: _, ...rest } = show;
  return JSON.stringify(rest);
}

/**
 * A show from its JSON and the yard it belongs to. Where the file has changed since, what is new begins as new and
 * what is gone is dropped; lockouts and counts of what stayed are kept.
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
  const planned = kept.planned.filter((r) => yard.scenes.has(r.scene));
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
      planned: kept.nextNight.planned.filter((r) => yard.scenes.has(r.scene)),
    },
    counters: { ...fresh.counters, ...kept.counters },
    planned,
    plannedFrom: planned.length === kept.planned.length ? kept.plannedFrom : 0,
    controllers: each(fresh.controllers, kept.controllers, newLink),
    props: withoutGoneMoves(each(fresh.props, kept.props, newProp), yard),
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
