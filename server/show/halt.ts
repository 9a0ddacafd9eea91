import { raise } from './fault.ts';
import { isPropLive } from './interlock.ts';
import type { Flight } from './show.ts';
import { stopNow } from './stop.ts';
import type { Turn } from './turn.ts';

/*
 * Halting a prop. `halt` is said again every 250 ms; a board that can be heard and answers nothing within 1 s can't be
 * made to stop, and so the yard is. A board that can't be heard can't answer either: it is told once, in case it
 * hears, and its own silence stops it.
 */

export const HALT_REPEAT_MS = 250;
export const DEAD_HALT_MS = 1000;

export function halt(turn: Turn, prop: string, why: string): void {
  const flight = turn.prop(prop).flight;
  if (!flight || flight.halting) return;
  turn.do({ kind: 'haltProp', prop, why });
  if (!isPropLive(turn.show, prop, turn.at)) return;
  turn.setProp(prop, { flight: { ...flight, halting: { since: turn.at, sentAt: turn.at, why } } });
}

export const haltDue = (h: NonNullable<Flight['halting']>): number =>
  Math.min(h.since + DEAD_HALT_MS, h.sentAt + HALT_REPEAT_MS);

export function haltTime(turn: Turn, id: string, f: Flight): void {
  const h = f.halting!;
  if (turn.at >= h.since + DEAD_HALT_MS) {
    raise(turn, { code: 'dead-halt', prop: id, move: f.move, why: h.why });
    stopNow(turn, `dead-halt ${id}`);
    return;
  }
  if (turn.at >= h.sentAt + HALT_REPEAT_MS) {
    turn.setProp(id, { flight: { ...f, halting: { ...h, sentAt: turn.at } } });
    turn.do({ kind: 'haltProp', prop: id, why: h.why });
  }
}

/** The desk is on the bus again: what it was halting when it lost the bus is halted anew, with its whole second. */
export function haltAnew(turn: Turn): void {
  for (const id of turn.yard.props.keys()) {
    const f = turn.prop(id).flight;
    if (!f?.halting) continue;
    turn.setProp(id, { flight: { ...f, halting: { ...f.halting, since: turn.at, sentAt: turn.at } } });
    turn.do({ kind: 'haltProp', prop: id, why: f.halting.why });
  }
}
