import { raise, raiseUnderLost } from './fault.ts';
import { halt } from './halt.ts';
import { isPropLive, needAgainst } from './interlock.ts';
import type { ReasonOf } from './reasons.ts';
import { failRun } from './run-end.ts';
import type { Flight, Show } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * The needs of every move under way, asked after every event: where one no longer holds the prop is halted in the same
 * turn. It is a fault on the halted prop, grouped under the needed prop's where that has one. Where the needed prop's
 * link was lost, which locks nothing out and returns by itself, the halted one is not locked out either; and
 * where the desk was silent itself, it is no fault at all.
 */

/** Whether any move is under way; at every event, so without looking props up by their ids. */
export function anyFlight(show: Show): boolean {
  for (const p of Object.values(show.props)) if (p.flight) return true;
  return false;
}

/** A move whose needs count: not yet at its end, its board heard, and not being halted. */
export function isWatched(show: Show, id: string, f: Flight, at: number): boolean {
  // a move has ended for its needs when its sensor is made, though the board has yet to say done
  return f.arrivedAt === null && !f.halting && f.lost !== 'let-go' && isPropLive(show, id, at);
}

/** Halted in this very turn under a run that failed: the need may be what failed. A halt said again is none of that. */
function haltedNow(turn: Turn, id: string): boolean {
  const halting = turn.prop(id).flight?.halting;
  return halting?.why === 'interlock' && halting.since === turn.at;
}

export function watchInterlocks(turn: Turn): void {
  const { stop, desk } = turn.show;
  if (stop.latched || !desk.connected || desk.standsDown || !anyFlight(turn.show)) return;
  for (const id of turn.yard.props.keys()) {
    const f = turn.prop(id).flight;
    if (!f || !(isWatched(turn.show, id, f, turn.at) || haltedNow(turn, id))) continue;
    const reason = needAgainst(turn.show, id, f.move, turn.at, 'during');
    if (reason?.code === 'need') needLost(turn, id, reason);
  }
}

function needLost(turn: Turn, id: string, { move, need, seen }: ReasonOf<'need'>): void {
  const needed = turn.prop(need.prop);
  const unheard = seen === 'silent' || seen === 'unknown';
  // lost with its own link and heard again a moment before whom it needs: its run is over, and nobody is to blame anew
  if (unheard && turn.prop(id).flight?.lost === 'silent') return halt(turn, id, 'interlock');
  if (unheard && turn.at < turn.show.desk.excusedUntil) {
    halt(turn, id, 'interlock');
    const run = turn.prop(id).heldBy;
    if (run) failRun(turn, run, 'abandoned', { code: 'run-abandoned', for: { code: 'desk-silent' } }, id);
    return;
  }
  const fault = { code: 'interlock-lost', prop: id, move, need, why: seen } as const;
  const first = need.prop === id ? {} : { first: need.prop };
  if (needed.lockout) raise(turn, { ...fault, ...first });
  else if (unheard && needed.lostAt.at(-1) === turn.at) raiseUnderLost(turn, { ...fault, ...first });
  else raise(turn, fault);
}
