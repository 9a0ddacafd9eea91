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

/** Not yet heard since the desk's start, and still within the time it is given. */
const inGrace = (show: Show, prop: string, at: number): boolean =>
  at < show.desk.startedAt + STATION_GRACE_MS && show.props[prop]!.sensors[BUTTON] === undefined;

/** When a silent station becomes a stop, for the timer. */
export function stationDue(show: Show): number {
  const waits = stationsOf(show).some((p) => show.props[p]!.sensors[BUTTON] === undefined);
  const end = show.desk.startedAt + STATION_GRACE_MS;
  return waits && show.at < end ? end : Number.POSITIVE_INFINITY;
}

/** Stops where a station asks for it. */
export function watchStations(turn: Turn): void {
  const { show, at } = turn;
  if (show.stop.latched) return;
  const moving = () => Object.values(show.props).some((p) => p.flight !== null);
  for (const prop of stationsOf(show)) {
    const pressed = reading(show, prop, BUTTON, at);
    if (pressed === false || (pressed === null && inGrace(show, prop, at))) continue;
    if (show.mode === 'closed' && !moving()) continue;
    const how = pressed === true ? 'pressed' : isPropLive(show, prop, at) ? 'unread' : 'silent';
    stopNow(turn, `station ${prop} ${how}`);
    return;
  }
}
