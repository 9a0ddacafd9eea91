import type { Event } from './events.ts';
import { handLockout } from './fault.ts';
import { endFlight, loseFlight } from './flight.ts';
import { propOf } from './interlock.ts';
import type { Reason } from './reasons.ts';
import { endRun } from './run-end.ts';
import type { Show } from './show.ts';
import { stationReasons } from './station.ts';
import type { Turn } from './turn.ts';

/*
 * The stop: latched from any state, by anyone; cleared only by a keeper once every cause is gone; and a clear opens
 * nothing. Its number is above every stop and clear ever heard of, so that late word of an old one has no effect.
 */

const REPEAT_MS = 100;
const HURRIED_MS = 2000;
const REPEAT_LATER_MS = 1000;

/**
 * Latches a stop, or says the one that stands once more. Returns its number. One that was only heard of may have been
 * cleared where it came from, and boards that know that pass its number over: a press makes it one of our own, above it.
 */
export function stopNow(turn: Turn, by: string): number {
  const { show, at } = turn;
  if (show.stop.latched && show.stop.heardOf) {
    riseTo(turn, show.stop.n + 1, false);
    return show.stop.n;
  }
  if (show.stop.latched) {
    show.stop = { ...show.stop, sentAt: at };
    // whoever was about to clear has not seen this one
    show.troubleN = turn.event.n;
    turn.do({ kind: 'sendStop', stop: show.stop.n, repeat: true });
    return show.stop.n;
  }
  latch(turn, Math.max(show.stop.n, show.stop.clearedN) + 1, by);
  return show.stop.n;
}

/** Latches a stop of a number: our own next one, or one heard of that we do not know to be cleared. */
export function latch(turn: Turn, n: number, by: string, heardOf = false): void {
  const { show, at } = turn;
  show.stop = {
    latched: true,
    n,
    clearedN: show.stop.clearedN,
    at,
    by,
    answered: {},
    sentAt: at,
    reopened: false,
    heardOf,
  };
  show.troubleN = turn.event.n;
  show.opening = null;
  show.homing = null;
  show.autoOpenUntil = null;
  show.openingWaits = [];
  turn.dropStarts();
  turn.do({ kind: 'sendStop', stop: n, repeat: false });
  turn.record({ code: 'stop-pressed', by, stop: n });
  for (const id of turn.yard.props.keys()) {
    const p = turn.prop(id);
    if (p.flight) loseFlight(turn, id, 'let-go');
    if (p.bench) turn.setProp(id, { bench: { ...p.bench, over: true } });
  }
  for (const run of show.runs) endRun(turn, run.id, 'stopped', { code: 'run-stopped', stop: n });
  turn.setMode('stopped', by);
}

/** Controllers that have not answered the latched stop. */
export const silentOf = (show: Show): string[] =>
  [...show.yard.controllers.keys()].filter((c) => !Object.hasOwn(show.stop.answered, c));

/** A controller answered: `stopped`, or a `link` whose `stop` is at or above the number. */
export function stopAnswered(turn: Turn, controller: string, n: number, session: string | null): void {
  const { show, at } = turn;
  if (
    show.stop.n > 0 &&
    n >= show.stop.n &&
    show.stop.latched &&
    !Object.hasOwn(show.stop.answered, controller)
  ) {
    show.stop = { ...show.stop, answered: { ...show.stop.answered, [controller]: at } };
    turn.record({ code: 'stop-answered', controller, afterMs: at - show.stop.at });
  }
  for (const prop of turn.yard.controllers.get(controller)!) {
    const { flight } = turn.prop(prop);
    // a board lets go as it obeys; what it says of an old stop tells of an older move only by a new session
    const obeys = session !== null && (show.stop.latched || session !== flight?.session);
    if (n >= show.stop.n && flight?.lost === 'let-go' && obeys) endFlight(turn, prop, 'void');
  }
  answeredBy(turn, controller, n);
}

/**
 * A board that begins anew after the clear, since it was off, was never told of that stop and will never answer it by
 * name. Its new session does: its outputs are off, and nothing that was sent before can move it.
 */
export function answeredAnew(turn: Turn, controller: string): void {
  if (!turn.show.stop.latched) answeredBy(turn, controller, turn.show.stop.clearedN);
}

/** What is out until its board has answered this stop is back. */
function answeredBy(turn: Turn, controller: string, n: number): void {
  for (const prop of turn.yard.controllers.get(controller)!) {
    const { lockout } = turn.prop(prop);
    const untilStop = lockout?.untilStop ?? null;
    if (!lockout || untilStop === null || n < untilStop) continue;
    turn.setProp(prop, { lockout: handLockout(turn, prop), returnedAt: turn.at });
    turn.record({ code: 'lockout-released', by: 'its answer', fault: lockout.fault.code }, { prop });
  }
}

/** Word of a stop on the bus or in a link: one above what is known to be cleared is latched. */
export function stopKnown(turn: Turn, n: number, by: string): void {
  const { show } = turn;
  if (n <= show.stop.clearedN) return;
  if (!show.stop.latched) return latch(turn, n, by, true);
  // a higher number than ours: ours rises to it, so that the answers and the clear are of the highest
  if (n > show.stop.n) riseTo(turn, n, true);
}

function riseTo(turn: Turn, n: number, heardOf: boolean): void {
  const { show } = turn;
  show.stop = { ...show.stop, n, answered: {}, sentAt: turn.at, heardOf };
  show.troubleN = turn.event.n;
  turn.do({ kind: 'sendStop', stop: n, repeat: false });
}

export function stopHeard(turn: Turn, e: Extract<Event, { kind: 'stopHeard' }>): void {
  if (e.latched) return stopKnown(turn, e.stop, `desk ${e.desk}`);
  const { show } = turn;
  // a desk that waits or has stood down follows the one that drives: a person cleared the stop there
  const follows = turn.event.waits === true || show.desk.standsDown !== null;
  if (show.stop.latched && follows && e.stop >= show.stop.n) return clearedThere(turn, e);
  // else another's clear tells a number not to use again; ours stays latched, since a clear here is ours to give
  if (e.stop > show.stop.clearedN && !show.stop.latched)
    show.stop = { ...show.stop, clearedN: e.stop, n: Math.max(e.stop, show.stop.n) };
}

function clearedThere(turn: Turn, e: { stop: number; desk: string }): void {
  const { show } = turn;
  show.stop = { ...show.stop, latched: false, n: e.stop, clearedN: e.stop };
  turn.record({ code: 'stop-cleared', by: `desk ${e.desk}`, stop: e.stop });
  turn.setMode('held', `desk ${e.desk}`);
}

/** All that bars a clear, in the order to deal with it. */
export function clearReasons(show: Show, at: number): Reason[] {
  const out: Reason[] = [];
  if (!show.stop.latched) return [{ code: 'nothing-to-clear' }];
  out.push(...stationReasons(show, at));
  if (!show.desk.connected) out.push({ code: 'no-bus' });
  if (show.desk.standsDown) out.push({ code: 'stands-down', desk: show.desk.standsDown.desk });
  if (show.recordFailing !== null) out.push({ code: 'record-failing', why: show.recordFailing });
  return out;
}

export function clearAsked(turn: Turn, by: string, seen: number): void {
  const { show, at } = turn;
  const reasons = clearReasons(show, at);
  if (reasons.length === 0 && show.troubleN > seen) reasons.push({ code: 'newer-trouble', prop: null });
  if (reasons.length > 0) return turn.answer(reasons);
  const n = show.stop.n;
  for (const controller of silentOf(show)) {
    for (const prop of turn.yard.controllers.get(controller)!) barUntilAnswered(turn, prop, n);
  }
  show.stop = { ...show.stop, latched: false, clearedN: n };
  turn.do({ kind: 'clearStop', stop: n });
  turn.record({ code: 'stop-cleared', by, stop: n });
  turn.setMode('held', by);
  turn.answer();
}

/** A controller that did not answer does not bar the clear, but its props stay out until it does. */
function barUntilAnswered(turn: Turn, prop: string, n: number): void {
  const p = turn.prop(prop);
  if (p.lockout || turn.yard.props.get(prop)!.kind === 'stop-station') return;
  const fault = { code: 'no-answer', prop, at: turn.at, why: 'did not answer the stop' } as const;
  turn.setProp(prop, {
    lockout: { fault, n: turn.event.n, acknowledged: false, untilStop: n, hand: null },
    known: propOf(turn.show, prop).home === null,
  });
  turn.record({ code: 'lockout-raised', fault }, { prop });
}

/** When the stop goes out again: every 100 ms for 2 s, then every second, until all have answered. */
export function stopDue(show: Show): number {
  if (!show.stop.latched || silentOf(show).length === 0) return Number.POSITIVE_INFINITY;
  return show.stop.sentAt + (show.stop.sentAt < show.stop.at + HURRIED_MS ? REPEAT_MS : REPEAT_LATER_MS);
}

export function stopTime(turn: Turn): void {
  if (turn.at < stopDue(turn.show)) return;
  turn.show.stop = { ...turn.show.stop, sentAt: turn.at };
  turn.do({ kind: 'sendStop', stop: turn.show.stop.n, repeat: true });
}
