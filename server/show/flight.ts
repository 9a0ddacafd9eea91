import { advance, draw } from '../yard/air.ts';
import type { Event } from './events.ts';
import { raise } from './fault.ts';
import { endMade, needAgainst, propOf, reading } from './interlock.ts';
import type { Origin } from './reasons.ts';
import { failRun } from './run-end.ts';
import { type Flight, TRAVELS } from './show.ts';
import { stopNow } from './stop.ts';
import { expectNow } from './travel.ts';
import type { Turn } from './turn.ts';

/*
 * A move told to a prop, from `do` to rest.
 *
 *   told ── started ──► moving ── its sensor ──► arrived ── done ──► at rest
 *    │ 1 s: told again     │                                          ▲
 *    │ 2 s: no-answer      │ limit + 1 s: travel-slow, overrun        │
 *    └────────────► halting ── halted, done, failed, new session ─────┘
 *                      │ 1 s without an answer: dead-halt, which stops the yard
 *
 * A move whose link goes away is `lost`: no deadline runs, and only a new session or its own end clears it.
 */

export const RESEND_MS = 1000;
export const NO_ANSWER_MS = 2000;
export const LIMIT_GRACE_MS = 1000;
export const HALT_REPEAT_MS = 250;
export const DEAD_HALT_MS = 1000;
const DEPARTURE_LEAST_MS = 1000;
const SHORT_SHARE = 0.4;

export interface Order {
  readonly prop: string;
  readonly move: string;
  readonly run: string;
  readonly step: number;
  readonly origin: Origin;
}

/** Tells a prop to move. Whoever calls has asked the needs and limits in this same turn. */
export function order(turn: Turn, o: Order): void {
  const { at, show } = turn;
  const prop = propOf(show, o.prop);
  const move = prop.moves.get(o.move)!;
  const session = turn.link(prop.controller).session!;
  const flight: Flight = {
    run: o.run,
    step: o.step,
    move: o.move,
    session,
    origin: o.origin,
    sentAt: at,
    tries: 1,
    startedAt: null,
    countFrom: null,
    arrivedAt: null,
    from: endMade(show, o.prop, at),
    leftAt: null,
    expectMs: expectNow(show, o.prop, o.move),
    lost: false,
    halting: null,
  };
  turn.setProp(o.prop, { flight, setAside: null });
  for (const air of move.air) {
    const tank = turn.yard.tanks.get(air.tank)!;
    const level = draw(tank, advance(tank, show.tanks[air.tank]!, at), air.litres);
    show.tanks = { ...show.tanks, [air.tank]: level };
  }
  send(turn, o.prop, flight);
}

function send(turn: Turn, prop: string, flight: Flight): void {
  const move = propOf(turn.show, prop).moves.get(flight.move)!;
  turn.do({
    kind: 'startMove',
    prop,
    run: flight.run,
    step: flight.step,
    move: flight.move,
    session: flight.session,
    limitMs: move.limitMs,
    ...(move.lastsMs === null ? {} : { lastsMs: move.lastsMs }),
  });
}

export function halt(turn: Turn, prop: string, why: string): void {
  const flight = turn.prop(prop).flight;
  if (!flight || flight.halting) return;
  turn.setProp(prop, { flight: { ...flight, halting: { since: turn.at, sentAt: turn.at, why } } });
  turn.do({ kind: 'haltProp', prop, why });
}

/** What a board says of its move. Only the present session's word on the move under way counts. */
export function moveReported(turn: Turn, e: Extract<Event, { kind: 'moveReported' }>): void {
  const flight = turn.prop(e.prop).flight;
  if (!flight || flight.run !== e.run || flight.step !== e.step || flight.move !== e.move) return;
  if (flight.session !== e.session) return;
  if (e.is === 'started') return started(turn, e.prop, flight);
  if (e.is === 'done') return done(turn, e.prop);
  if (flight.halting || flight.lost) return endFlight(turn, e.prop, 'halted');
  if (e.is === 'refused') return refused(turn, e.prop, flight, e.why ?? '');
  endFlight(turn, e.prop, 'halted');
  if (e.is === 'halted')
    return raise(turn, { code: 'failed', prop: e.prop, move: flight.move, why: 'halted by itself' });
  if (e.why === 'limit') return raise(turn, limitFault(turn, e.prop, flight));
  raise(turn, { code: 'failed', prop: e.prop, move: flight.move, why: e.why ?? 'no reason given' });
}

function started(turn: Turn, prop: string, flight: Flight): void {
  if (flight.startedAt !== null) return;
  const until = propOf(turn.show, prop).moves.get(flight.move)!.until;
  const there = until !== null && reading(turn.show, prop, until, turn.at) === true;
  turn.setProp(prop, {
    flight: {
      ...flight,
      startedAt: turn.at,
      countFrom: flight.countFrom ?? turn.at,
      arrivedAt: flight.arrivedAt ?? (there ? turn.at : null),
    },
  });
}

function done(turn: Turn, prop: string): void {
  let flight = turn.prop(prop).flight!;
  const until = propOf(turn.show, prop).moves.get(flight.move)!.until;
  if (until !== null && reading(turn.show, prop, until, turn.at) !== true) {
    endFlight(turn, prop, 'halted');
    return raise(turn, {
      code: 'failed',
      prop,
      move: flight.move,
      sensor: until,
      why: 'done without its sensor',
    });
  }
  if (flight.countFrom === null || (until !== null && flight.arrivedAt === null)) {
    flight = { ...flight, countFrom: flight.countFrom ?? turn.at, arrivedAt: turn.at };
    turn.setProp(prop, { flight });
  }
  endFlight(turn, prop, 'done');
}

function refused(turn: Turn, prop: string, flight: Flight, why: string): void {
  endFlight(turn, prop, 'refused');
  if (why === 'unknown' || why === 'busy')
    return raise(turn, { code: 'refused', prop, move: flight.move, why });
  const run = turn.prop(prop).heldBy;
  if (run) failRun(turn, run, 'abandoned', { code: 'board-refused', prop, why }, prop);
}

export type HowEnded = 'done' | 'halted' | 'refused' | 'void';

/** The prop is at rest: its span of moving is kept for duty, and its position known if it ended well. */
export function endFlight(turn: Turn, id: string, how: HowEnded): void {
  const p = turn.prop(id);
  const flight = p.flight!;
  const prop = propOf(turn.show, id);
  const well = how === 'done' && !flight.lost;
  const end = endMade(turn.show, id, turn.at);
  turn.setProp(id, {
    flight: null,
    endedAt: turn.at,
    known:
      prop.home === null || end !== null || (how === 'refused' ? p.known : well && flight.origin !== 'bench'),
    moves: p.moves + (how === 'done' ? 1 : 0),
    spans: how === 'refused' ? p.spans : keptSpans(p.spans, [flight.sentAt, turn.at], prop.duty?.overMs ?? 0),
    travels: well ? withTravel(p.travels, flight, prop.moves.get(flight.move)!.until) : p.travels,
    bench: p.bench ? { ...p.bench, over: true } : null,
  });
  if (how !== 'refused' && p.heldBy) {
    const run = turn.run(p.heldBy);
    if (run && !run.moved.includes(id)) turn.setRun(run.id, { moved: [...run.moved, id] });
  }
}

function keptSpans(
  spans: readonly (readonly [number, number])[],
  last: readonly [number, number],
  overMs: number,
) {
  if (overMs === 0) return [];
  return [...spans.filter(([, end]) => end > last[1] - overMs), last];
}

/** Only whole journeys between two ends are timed, and none of a homing or of the bench. */
function withTravel(travels: Readonly<Record<string, readonly number[]>>, f: Flight, until: string | null) {
  if (until === null || f.from === null || f.from === until || f.origin === 'homing' || f.origin === 'bench')
    return travels;
  if (f.arrivedAt === null || f.countFrom === null) return travels;
  const before = Object.hasOwn(travels, f.move) ? travels[f.move]! : [];
  return { ...travels, [f.move]: [...before, f.arrivedAt - f.countFrom].slice(-TRAVELS) };
}

/** Called by `prop.ts` at each edge of a sensor of a prop with a move under way. */
export function edgeInFlight(turn: Turn, id: string, sensor: string, made: boolean): void {
  const flight = turn.prop(id).flight!;
  const move = propOf(turn.show, id).moves.get(flight.move)!;
  const countFrom = flight.countFrom ?? turn.at;
  const left = !made && sensor === flight.from && flight.leftAt === null;
  const arrives = made && sensor === move.until && flight.arrivedAt === null;
  turn.setProp(id, {
    flight: {
      ...flight,
      countFrom,
      leftAt: left ? turn.at : flight.leftAt,
      arrivedAt: arrives ? turn.at : flight.arrivedAt,
    },
  });
  if (!arrives || flight.halting || flight.origin === 'homing') return;
  const tookMs = turn.at - countFrom;
  const whole = flight.from !== null && flight.from !== move.until;
  if (whole && tookMs < SHORT_SHARE * flight.expectMs) {
    raise(turn, {
      code: 'travel-short',
      prop: id,
      move: move.id,
      sensor,
      ...(flight.from === null ? {} : { other: flight.from }),
      tookMs,
      usualMs: flight.expectMs,
    });
  }
}

function limitFault(turn: Turn, prop: string, f: Flight): Parameters<typeof raise>[1] {
  const move = propOf(turn.show, prop).moves.get(f.move)!;
  const figures = {
    prop,
    move: f.move,
    tookMs: f.countFrom === null ? move.limitMs : turn.at - f.countFrom,
    usualMs: f.expectMs,
    limitMs: move.limitMs,
    ...(f.from === null ? {} : { other: f.from }),
    ...(f.leftAt === null ? {} : { leftAt: f.leftAt }),
  };
  if (move.until === null) return { code: 'overrun', ...figures };
  return { code: 'travel-slow', sensor: move.until, ...figures };
}

/** When this prop's move next wants looking at; Infinity for never. */
export function flightDue(turn: Pick<Turn, 'show'>, id: string, f: Flight, live: boolean): number {
  if (f.halting) return Math.min(f.halting.since + DEAD_HALT_MS, f.halting.sentAt + HALT_REPEAT_MS);
  if (!live) return Number.POSITIVE_INFINITY;
  const move = propOf(turn.show, id).moves.get(f.move)!;
  const limit = f.countFrom === null ? Number.POSITIVE_INFINITY : f.countFrom + move.limitMs + LIMIT_GRACE_MS;
  if (f.lost) return limit;
  if (f.startedAt === null) return Math.min(limit, f.sentAt + (f.tries === 1 ? RESEND_MS : NO_ANSWER_MS));
  return departureWatched(f, move.until)
    ? Math.min(limit, f.countFrom! + Math.max(f.expectMs / 3, DEPARTURE_LEAST_MS))
    : limit;
}

/** The end it must leave is watched where it stood at one and the move leads to another. */
const departureWatched = (f: Flight, until: string | null): boolean =>
  until !== null && f.from !== null && f.from !== until && f.leftAt === null && f.countFrom !== null;

/** Acts on a deadline of this prop's move that has come. */
export function flightTime(turn: Turn, id: string): void {
  const f = turn.prop(id).flight!;
  if (f.halting) return haltTime(turn, id, f);
  const move = propOf(turn.show, id).moves.get(f.move)!;
  if (f.countFrom !== null && turn.at >= f.countFrom + move.limitMs + LIMIT_GRACE_MS) {
    if (f.arrivedAt !== null)
      return raise(turn, { code: 'failed', prop: id, move: f.move, why: 'arrived but never said done' });
    return raise(turn, limitFault(turn, id, f));
  }
  if (f.lost) return;
  if (f.startedAt === null) {
    if (turn.at >= f.sentAt + NO_ANSWER_MS) return raise(turn, { code: 'no-answer', prop: id, move: f.move });
    if (f.tries === 1 && turn.at >= f.sentAt + RESEND_MS) resend(turn, id, f);
    return;
  }
  const expect = Math.max(f.expectMs / 3, DEPARTURE_LEAST_MS);
  if (departureWatched(f, move.until) && turn.at >= f.countFrom! + expect) {
    raise(turn, {
      code: 'no-departure',
      prop: id,
      move: f.move,
      sensor: f.from!,
      tookMs: turn.at - f.countFrom!,
      usualMs: f.expectMs,
    });
  }
}

/** The second try bears the same run and step; it goes only while all that let the first go still holds. */
function resend(turn: Turn, id: string, f: Flight): void {
  const next = { ...f, tries: 2 };
  turn.setProp(id, { flight: next });
  if (turn.link(propOf(turn.show, id).controller).session !== f.session) return;
  if (needAgainst(turn.show, id, f.move, turn.at, 'during') !== null) return;
  send(turn, id, next);
}

function haltTime(turn: Turn, id: string, f: Flight): void {
  const h = f.halting!;
  if (turn.at >= h.since + DEAD_HALT_MS) {
    turn.setProp(id, { flight: { ...f, lost: true, halting: null } });
    raise(turn, { code: 'dead-halt', prop: id, move: f.move, why: h.why });
    stopNow(turn, `dead-halt ${id}`);
    return;
  }
  if (turn.at >= h.sentAt + HALT_REPEAT_MS) {
    turn.setProp(id, { flight: { ...f, halting: { ...h, sentAt: turn.at } } });
    turn.do({ kind: 'haltProp', prop: id, why: h.why });
  }
}

/** Needs of every move under way, in the turn in which they fail: the prop is halted and the fault is on it. */
export function watchInterlocks(turn: Turn): void {
  if (!turn.show.desk.connected) return;
  for (const id of turn.yard.props.keys()) {
    const f = turn.prop(id).flight;
    // a move has ended for its needs when its sensor is made, though the board has yet to say done
    if (!f || f.halting || f.arrivedAt !== null) continue;
    const reason = needAgainst(turn.show, id, f.move, turn.at, 'during');
    if (reason?.code !== 'need') continue;
    const first = turn.prop(reason.need.prop).lockout ? reason.need.prop : undefined;
    raise(turn, {
      code: 'interlock-lost',
      prop: id,
      move: f.move,
      need: reason.need,
      why: reason.seen,
      ...(first && first !== id ? { first } : {}),
    });
  }
}

/** Sets aside a move whose link went away or that a stop caught: see `Flight.lost`. */
export function loseFlight(turn: Turn, id: string): void {
  const f = turn.prop(id).flight;
  if (f && !f.lost) turn.setProp(id, { flight: { ...f, lost: true } });
  if (propOf(turn.show, id).home !== null) turn.setProp(id, { known: false });
}
