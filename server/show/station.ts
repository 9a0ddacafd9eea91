import { isPropLive, reading } from './interlock.ts';
import type { Reason } from './reasons.ts';
import type { Show } from './show.ts';
import { stopNow } from './stop.ts';
import type { Turn } from './turn.ts';

/*
 * Stop stations: a red button's auxiliary contact that the desk can watch. Pressed, or not heard, it is a stop in every
 * mode but `closed`, and in `closed` while anything moves. At rest in `closed` it only bars opening and the bench.
 * From the desk's start until it is first heard, 10 s at most, nothing moves and its silence is not yet a stop.
 * A lockout never disables it: nothing here asks for one.
 */

export const STATION_GRACE_MS = 10_000;
export const BUTTON = 'button';

export function stationsOf(show: Show): string[] {
  const kept = cache.get(show.yard);
  if (kept) return kept;
  const ids = [...show.yard.props.values()].filter((p) => p.kind === 'stop-station').map((p) => p.id);
  cache.set(show.yard, ids);
  return ids;
}
const cache = new WeakMap<object, string[]>();

/** Everything that stands in the way at the stations, in the order of the file. */
export function stationReasons(show: Show, at: number): Reason[] {
  const out: Reason[] = [];
  for (const prop of stationsOf(show)) {
    const pressed = reading(show, prop, BUTTON, at);
    if (pressed === true) out.push({ code: 'station-in', prop });
    else if (pressed === null)
      out.push(
        inGrace(show, prop, at) ? { code: 'station-not-heard', prop } : { code: 'station-silent', prop },
      );
  }
  return out;
}

export const stationAgainst = (show: Show, at: number): Reason | null => stationReasons(show, at)[0] ?? null;

/**
 * Not yet heard since the desk's start and still within the time it is given; or linked anew this moment, since a board
 * says its link before its readings. Nothing begins to move meanwhile.
 */
const inGrace = (show: Show, prop: string, at: number): boolean =>
  show.props[prop]!.sensors[BUTTON] === undefined &&
  (at < show.desk.startedAt + STATION_GRACE_MS || at <= readBy(show, prop, at));

/** By when a station that is linked must have said its reading; in the past where it is not linked. */
function readBy(show: Show, prop: string, at: number): number {
  const { controller } = show.yard.props.get(prop)!;
  return isPropLive(show, prop, at) ? show.controllers[controller]!.linkedAt + show.yard.bus.silenceMs : 0;
}

/** When a silent station becomes a stop, for the timer. */
export function stationDue(show: Show): number {
  const start = show.desk.startedAt + STATION_GRACE_MS;
  let due = Number.POSITIVE_INFINITY;
  for (const prop of stationsOf(show)) {
    if (show.props[prop]!.sensors[BUTTON] !== undefined) continue;
    if (show.at < start) due = Math.min(due, start);
    const by = readBy(show, prop, show.at);
    if (show.at <= by) due = Math.min(due, by + 1);
  }
  return due;
}

/** Stops where a station asks for it. */
export function watchStations(turn: Turn): void {
  const { show, at } = turn;
  if (show.stop.latched) {
    // pressed while stopped: the same stop, but whoever was about to clear has not seen it
    const e = turn.event;
    if (e.kind === 'sensorChanged' && e.made && stationsOf(show).includes(e.prop)) show.troubleN = e.n;
    return;
  }
  const moving = () => Object.values(show.props).some((p) => p.flight !== null && !p.flight.freed);
  for (const prop of stationsOf(show)) {
    const pressed = reading(show, prop, BUTTON, at);
    if (pressed === false || (pressed === null && inGrace(show, prop, at))) continue;
    if (show.mode === 'closed' && !moving()) continue;
    const how = pressed === true ? 'pressed' : isPropLive(show, prop, at) ? 'unread' : 'silent';
    stopNow(turn, `station ${prop} ${how}`);
    return;
  }
}
