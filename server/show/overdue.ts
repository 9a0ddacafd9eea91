import { yardAgainst } from './admission.ts';
import { raise } from './fault.ts';
import { LIMIT_GRACE_MS, limitFault, NO_ANSWER_MS, RESEND_MS, send } from './flight.ts';
import { halt, haltDue, haltTime } from './halt.ts';
import { isPropLive, needAgainst, propOf } from './interlock.ts';
import type { Flight, Show } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * The deadlines of a move under way: told again after 1 s, no answer after 2 s, its end not left after a third of the
 * usual time, its limit and a second more, its halt. None runs while its board can't be heard, or can't hear us.
 */

const DEPARTURE_LEAST_MS = 1000;

/** When this prop's move next wants looking at; Infinity for never. */
export function flightDue(show: Show, id: string, f: Flight): number {
  if (show.stop.latched || !show.desk.connected || show.desk.standsDown || f.lost === 'let-go')
    return Number.POSITIVE_INFINITY;
  if (f.halting) return haltDue(f.halting);
  if (!isPropLive(show, id, show.at)) return Number.POSITIVE_INFINITY;
  return Math.min(limitDue(show, id, f), answerDue(show, id, f), departureDue(show, id, f));
}

const limitDue = (show: Show, id: string, f: Flight): number =>
  f.countFrom === null
    ? Number.POSITIVE_INFINITY
    : f.countFrom + propOf(show, id).moves.get(f.move)!.limitMs + LIMIT_GRACE_MS;

/** A lost one is not told again: it is given the time of an answer from when its link came back. */
function answerDue(show: Show, id: string, f: Flight): number {
  if (f.startedAt !== null || (f.lost && f.countFrom !== null)) return Number.POSITIVE_INFINITY;
  if (f.lost) return Math.max(f.sentAt, show.props[id]!.returnedAt) + NO_ANSWER_MS;
  return f.sentAt + (f.tries === 1 ? RESEND_MS : NO_ANSWER_MS);
}

/** The end it must leave is watched where it stood at one and the move leads to another. */
function departureDue(show: Show, id: string, f: Flight): number {
  const { until } = propOf(show, id).moves.get(f.move)!;
  const watched =
    f.startedAt !== null && !f.lost && until !== null && f.from !== null && f.from !== until && !f.leftAt;
  return watched ? f.countFrom! + Math.max(f.expectMs / 3, DEPARTURE_LEAST_MS) : Number.POSITIVE_INFINITY;
}

/** Acts on a deadline of this prop's move that has come. */
export function flightTime(turn: Turn, id: string): void {
  const f = turn.prop(id).flight;
  const { show, at } = turn;
  if (!f || at < flightDue(show, id, f)) return;
  if (f.halting) return haltTime(turn, id, f);
  if (at >= limitDue(show, id, f)) return pastLimit(turn, id, f);
  if (at >= answerDue(show, id, f)) return unanswered(turn, id, f);
  raise(turn, {
    code: 'no-departure',
    prop: id,
    move: f.move,
    sensor: f.from!,
    tookMs: at - f.countFrom!,
    usualMs: f.expectMs,
  });
}

function pastLimit(turn: Turn, id: string, f: Flight): void {
  if (f.arrivedAt === null) return raise(turn, limitFault(turn, id, f));
  raise(turn, { code: 'failed', prop: id, move: f.move, why: 'arrived but never said done' });
}

function unanswered(turn: Turn, id: string, f: Flight): void {
  if (f.lost) return halt(turn, id, 'no-answer');
  if (turn.at >= f.sentAt + NO_ANSWER_MS) return raise(turn, { code: 'no-answer', prop: id, move: f.move });
  const next = { ...f, tries: 2 };
  turn.setProp(id, { flight: next });
  // the second try bears the same run and step, and goes only while all that let the first go still holds
  if (turn.link(propOf(turn.show, id).controller).session !== f.session) return;
  if (yardAgainst(turn.show, turn.at) || needAgainst(turn.show, id, f.move, turn.at, 'during')) return;
  send(turn, id, next);
}
