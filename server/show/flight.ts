import { advance, draw } from '../yard/air.ts';
import type { Event } from './events.ts';
import { raise } from './fault.ts';
import { endMade, propOf, reading } from './interlock.ts';
import type { Fault, Origin } from './reasons.ts';
import { failRun } from './run-end.ts';
import { type Flight, TRAVELS } from './show.ts';
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
 * A move whose link goes away is `lost` (`Flight.lost`): it may still be under way. Its deadlines are in `overdue.ts`,
 * its halt in `halt.ts`, its needs in `watch.ts`.
 */

export const RESEND_MS = 1000;
export const NO_ANSWER_MS = 2000;
export const LIMIT_GRACE_MS = 1000;
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
    lost: null,
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

export function send(turn: Turn, prop: string, flight: Flight): void {
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

/**
 * What a board says of its move. Only the present session's word on the move under way counts. A board that was halted
 * at rest, since the order never reached it, names its move before that or none: it is at rest all the same.
 */
export function moveReported(turn: Turn, e: Extract<Event, { kind: 'moveReported' }>): void {
  const flight = turn.prop(e.prop).flight;
  if (!flight || flight.session !== e.session) return;
  if (e.is === 'halted' && flight.halting) return endFlight(turn, e.prop, 'halted');
  if (flight.run !== e.run || flight.step !== e.step || flight.move !== e.move) return;
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
  // it obeyed a stop and has not heard that it is cleared
  const { stop, desk } = turn.show;
  if (why === 'stopped' && stop.clearedN > 0 && desk.connected)
    turn.do({ kind: 'clearStop', stop: stop.clearedN });
  const run = turn.prop(prop).heldBy;
  if (run) failRun(turn, run, 'abandoned', { code: 'board-refused', prop, why }, prop);
}

/** `void`: nobody said how; its session ended, or a person took the prop out of service. */
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
    spans:
      how === 'refused'
        ? p.spans
        : keptSpans(p.spans, movedFor(turn, id, how), prop.duty?.overMs ?? 0, turn.at),
    bench: p.bench ? { ...p.bench, over: true } : null,
  });
  if (how !== 'refused' && p.heldBy) {
    const run = turn.run(p.heldBy);
    if (run && !run.moved.includes(id)) turn.setRun(run.id, { moved: [...run.moved, id] });
  }
  if (well && !flight.halting) keepJourney(turn, id, flight);
}

/**
 * One whose board was away for an hour did not move for an hour: the board watches the limit too. Where nobody said how
 * it ended, it may go on until then: a new session may be a second board's, and the first goes on with its move.
 */
function movedFor(turn: Turn, id: string, how: HowEnded): readonly [number, number] {
  const f = turn.prop(id).flight!;
  const { limitMs, lastsMs } = propOf(turn.show, id).moves.get(f.move)!;
  const from = f.countFrom ?? f.sentAt;
  if (how === 'void') return [f.sentAt, from + (lastsMs ?? limitMs) + LIMIT_GRACE_MS];
  return [f.sentAt, f.lost ? Math.min(turn.at, from + limitMs + LIMIT_GRACE_MS) : turn.at];
}

function keptSpans(
  spans: readonly (readonly [number, number])[],
  last: readonly [number, number],
  overMs: number,
  at: number,
) {
  if (overMs === 0) return [];
  return [...spans.filter(([, end]) => end > at - overMs), last];
}

/** Keeps the time of a whole journey between two ends, with the prop and with its run; none of a homing or the bench. */
function keepJourney(turn: Turn, id: string, f: Flight): void {
  const { until } = propOf(turn.show, id).moves.get(f.move)!;
  if (until === null || f.from === null || f.from === until || f.origin === 'homing' || f.origin === 'bench')
    return;
  if (f.arrivedAt === null || f.countFrom === null || f.arrivedAt <= f.countFrom) return;
  const tookMs = f.arrivedAt - f.countFrom;
  const { travels, tonight } = turn.prop(id);
  const before = Object.hasOwn(travels, f.move) ? travels[f.move]! : [];
  const count = Object.hasOwn(tonight, f.move) ? tonight[f.move]! : 0;
  turn.setProp(id, {
    travels: { ...travels, [f.move]: [...before, tookMs].slice(-TRAVELS) },
    tonight: { ...tonight, [f.move]: count + 1 },
  });
  const run = turn.run(f.run);
  if (run) turn.setRun(run.id, { journeys: [...run.journeys, [id, f.move, tookMs]] });
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
  // from when it was told, so that a word of its start that came late does not make the way look short
  if (whole && turn.at - flight.sentAt < SHORT_SHARE * flight.expectMs) {
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

/** The board's `why: limit` and the desk's own are one fault. */
export function limitFault(turn: Turn, prop: string, f: Flight): Omit<Fault, 'at'> {
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

/** The link went away, or what moved is let go of: see `Flight.lost`. What is let go of need not be halted any more. */
export function loseFlight(turn: Turn, id: string, how: 'silent' | 'let-go'): void {
  const f = turn.prop(id).flight;
  if (f) {
    const halting = how === 'let-go' ? null : f.halting;
    const lost = f.lost === 'let-go' ? f.lost : how;
    turn.setProp(id, { flight: { ...f, lost, halting } });
  }
  if (propOf(turn.show, id).home !== null) turn.setProp(id, { known: false });
}
