import type { Event } from './events.ts';
import { raise, watchContradictions } from './fault.ts';
import { edgeInFlight } from './flight.ts';
import { propOf } from './interlock.ts';
import { heardFrom } from './link.ts';
import { triggered } from './scene.ts';
import type { Reading } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * What a prop's sensors say, and what follows where nothing was told to move: both ends at once, an end that chatters,
 * an end that goes away, an end that comes from nowhere.
 */

const CHATTER_SPAN_MS = 2000;
const CHATTER_EDGES = 6;
/** What still coasts after a move has ended is no stray move. */
const COAST_MS = 2000;

export function sensorChanged(turn: Turn, e: Extract<Event, { kind: 'sensorChanged' }>): void {
  const prop = propOf(turn.show, e.prop);
  const session = turn.link(prop.controller).session;
  if (e.session !== session) return;
  if (!e.retained) heardFrom(turn, prop.controller);
  const p = turn.prop(e.prop);
  const before = Object.hasOwn(p.sensors, e.sensor) ? p.sensors[e.sensor] : undefined;
  const known = before !== undefined && before.session === e.session;
  if (known && e.count < before.count) return;
  const edge = known && before.made !== e.made;
  // the broker's copy of what the board itself said takes nothing from it
  const live = !e.retained || (known && before.live && !edge && before.count === e.count);
  const reading: Reading = { made: e.made, session: e.session, count: e.count, at: turn.at, live };
  const isEnd = prop.sensors.get(e.sensor)!.kind === 'end';
  const placed = prop.home !== null && e.made && (isEnd || e.sensor === prop.home) && !p.flight;
  turn.setProp(e.prop, {
    sensors: { ...p.sensors, [e.sensor]: reading },
    ...(placed ? { known: true } : {}),
    ...(placed && e.sensor === prop.home ? { setAside: null } : {}),
  });
  if (edge && p.flight) edgeInFlight(turn, e.prop, e.sensor, e.made);
  if (isEnd) watchEnds(turn, e, edge, p.flight !== null);
  // only a change heard live on both sides sets a scene off, and never a retained word
  if (edge && before.live && live && e.made) triggered(turn, e.prop, e.sensor);
}

function watchEnds(
  turn: Turn,
  e: Extract<Event, { kind: 'sensorChanged' }>,
  edge: boolean,
  inFlight: boolean,
): void {
  if (watchContradictions(turn, e.prop, e.sensor) || !edge) return;
  const p = turn.prop(e.prop);
  const before = Object.hasOwn(p.edges, e.sensor) ? p.edges[e.sensor]! : [];
  const edges = [...before.filter((t) => t > turn.at - CHATTER_SPAN_MS), turn.at];
  turn.setProp(e.prop, { edges: { ...p.edges, [e.sensor]: edges.slice(-2 * CHATTER_EDGES) } });
  if (edges.length > CHATTER_EDGES)
    return raise(turn, { code: 'chatter', prop: e.prop, sensor: e.sensor, edges: edges.length });
  const mode = turn.show.mode;
  const watched = mode === 'opening' || mode === 'open' || mode === 'closing';
  if (inFlight || p.lockout) return;
  // elsewhere its position just follows its sensors: a person may be moving it
  if (!watched) {
    if (!e.made && propOf(turn.show, e.prop).home !== null) turn.setProp(e.prop, { known: false });
    return;
  }
  if (!e.made) return raise(turn, { code: 'end-lost', prop: e.prop, sensor: e.sensor });
  if (turn.at - p.endedAt > COAST_MS) raise(turn, { code: 'stray-move', prop: e.prop, sensor: e.sensor });
}
