import { propOf } from './show/interlock.ts';
import type { Show } from './show/show.ts';
import { expectNow } from './show/travel.ts';

/** The travel times of one prop's moves that end at a sensor, as its sheet shows them. */
export interface PropTravels {
  moves: {
    move: string;
    /** What is expected now: the median of the last journeys once there are enough, else the file's. */
    usualMs: number;
    limitMs: number;
    /** The last journeys, ms, oldest first. */
    lastMs: number[];
    /** The median of each of the last nights, oldest first. */
    nightsMs: number[];
  }[];
  /** The move that slows down, where one does: in so many nights its trend reaches the limit. */
  drift: { move: string; nightsLeft: number; nowMs: number } | null;
}

export function travelsNow(show: Show, id: string): PropTravels {
  const state = show.props[id]!;
  const own = <T>(table: Readonly<Record<string, T>>, move: string): T | undefined =>
    Object.hasOwn(table, move) ? table[move] : undefined;
  const timed = [...propOf(show, id).moves.values()].filter((move) => move.until !== null);
  const { drift } = state;
  return {
    moves: timed.map((move) => ({
      move: move.id,
      usualMs: Math.round(expectNow(show, id, move.id)),
      limitMs: move.limitMs,
      lastMs: [...(own(state.travels, move.id) ?? [])],
      nightsMs: (own(state.nights, move.id) ?? []).map(({ ms }) => ms),
    })),
    drift: drift && {
      move: drift.move ?? '',
      nightsLeft: drift.nights ?? 0,
      nowMs: drift.tookMs ?? 0,
    },
  };
}
