import { announceSoon } from './announce.ts';
import type { Event } from './events.ts';
import { raise, raiseLinkLost, watchContradictions } from './fault.ts';
import { endFlight, loseFlight } from './flight.ts';
import { halt } from './halt.ts';
import { higherEpochHeard } from './identity.ts';
import { isHeard, isLive, propOf } from './interlock.ts';
import { failRun } from './run-end.ts';
import type { Link } from './show.ts';
import { answeredAnew, stopAnswered, stopKnown } from './stop.ts';
import type { Turn } from './turn.ts';

/*
 * A controller's link:
 *
 *   never heard ── link ──► live ◄── anything of its session ── silent (nothing for `silence`)
 *                            │ its will, or a new session
 *                            └──► positions, readings and moves of the old session are void
 *
 * A new session in mid-run is `link-lost`, unless a stop or the desk's own silence explains it. A retained `link` tells
 * of a session, of a stop and of an epoch, but not that the session still stands: it displaces no live one.
 */

const PAST_SESSIONS = 6;
const RETURN_SPAN_MS = 30_000;
/** So many returns of a replaced session within the span: two boards answer to one name. One or two may be late word. */
const RETURNS_TWO_BOARDS = 3;
const ASKED_ANEW_MS = 1000;

/** Something of its present session came: it is live from now. */
export function heardFrom(turn: Turn, controller: string): void {
  const link = turn.link(controller);
  if (link.heardAt === turn.at && link.live) return;
  turn.setLink(controller, { heardAt: turn.at, live: link.up });
  if (!link.live && link.up) returned(turn, controller);
}

function returned(turn: Turn, controller: string): void {
  turn.record({ code: 'link-up', controller, session: turn.link(controller).session ?? '' });
  for (const prop of turn.yard.controllers.get(controller)!) {
    const { lockout, flight } = turn.setProp(prop, { returnedAt: turn.at });
    // in the same session it may be moving still, and what is locked out may not
    if (lockout && flight && flight.lost !== 'let-go') halt(turn, prop, lockout.fault.code);
    watchContradictions(turn, prop);
  }
}

export function beatsHeard(turn: Turn, e: Extract<Event, { kind: 'beatsHeard' }>): void {
  for (const [controller, session, heardAt] of e.beats) {
    const link = turn.link(controller);
    if (link.up && link.session === session) {
      const wasLive = link.live;
      if (heardAt > link.heardAt) turn.setLink(controller, { heardAt });
      if (!wasLive && isLive(turn.show, controller, turn.at)) {
        turn.setLink(controller, { live: true });
        returned(turn, controller);
      }
    } else announceSoon(turn); // nobody knows whose session that is
  }
}

export function linkHeard(turn: Turn, e: Extract<Event, { kind: 'linkHeard' }>): void {
  const { at } = turn;
  const link = turn.link(e.controller);
  if (!e.up) {
    // a will counts only if it is of the connection that stands
    if (!link.up || e.session !== link.first) return;
    turn.setLink(e.controller, { up: false, live: false });
    return wentSilent(turn, e.controller);
  }
  claims(turn, e.controller, e.props);
  if (e.session !== link.session) {
    const stale = e.retained && (isLive(turn.show, e.controller, at) || link.past.includes(e.session));
    if (!stale) newSession(turn, e.controller, e, link);
  } else if (!e.retained) {
    turn.setLink(e.controller, { up: true, first: e.first });
    heardFrom(turn, e.controller);
  }
  const linkedAt = turn.link(e.controller).session === link.session ? link.linkedAt : at;
  turn.setLink(e.controller, { firmware: e.firmware ?? null, linkedAt });
  if (e.stop > 0) {
    stopKnown(turn, e.stop, `board ${e.controller}`);
    stopAnswered(turn, e.controller, e.stop, e.retained ? null : e.session);
    clearedAlready(turn, e);
  }
  const anew = e.session !== link.session && !link.past.includes(e.session);
  if (anew && !e.retained) answeredAnew(turn, e.controller);
  higherEpochHeard(turn, e.epoch);
}

function newSession(
  turn: Turn,
  id: string,
  e: { session: string; first: string; retained: boolean },
  link: Link,
): void {
  const { at, show } = turn;
  const wasLive = link.live;
  const back = link.past.includes(e.session);
  const past =
    link.session === null ? link.past : [link.session, ...link.past.filter((s) => s !== e.session)];
  turn.setLink(id, {
    up: true,
    session: e.session,
    first: e.first,
    heardAt: e.retained ? Math.min(link.heardAt, at - show.yard.bus.silenceMs - 1) : at,
    live: !e.retained,
    past: past.slice(0, PAST_SESSIONS),
  });
  const props = turn.yard.controllers.get(id)!;
  for (const prop of props) {
    // the board's outputs are off in a new session: whatever was under way has ended somewhere
    if (turn.prop(prop).flight) endFlight(turn, prop, 'void');
    const { bench } = turn.prop(prop);
    turn.setProp(prop, {
      known: propOf(show, prop).home === null,
      sensors: {},
      edges: {},
      bench: bench ? { ...bench, over: true } : null,
    });
  }
  if (!e.retained) returned(turn, id);
  for (const prop of props)
    if (turn.prop(prop).heldBy && link.session !== null && wasLive) sessionChanged(turn, prop);
  if (back && !e.retained) pastSessionSpoke(turn, id);
}

/** In mid-run: the run can't go on; whose fault it is depends on who was silent. */
function sessionChanged(turn: Turn, prop: string): void {
  const { show, at } = turn;
  if (show.stop.latched) return;
  const run = show.props[prop]!.heldBy!;
  if (at < show.desk.excusedUntil)
    failRun(turn, run, 'abandoned', { code: 'run-abandoned', for: { code: 'desk-silent' } }, prop);
  else raiseLinkLost(turn, prop);
}

/** The link is no longer live: what it moved may still be moving. */
export function wentSilent(turn: Turn, controller: string): void {
  const link = turn.link(controller);
  turn.record({ code: 'link-down', controller, sinceMs: link.heardAt });
  const excused = !turn.show.desk.connected || turn.at < turn.show.desk.excusedUntil;
  const props = turn.yard.controllers.get(controller)!;
  for (const prop of props) {
    // deaf one way it may still hear us: it is told once to halt, and its own silence stops it if it does not
    if (!excused && !turn.show.stop.latched) halt(turn, prop, 'link-lost');
    loseFlight(turn, prop, 'silent');
    // heard by nobody, its board stops by itself: there is no halt to wait for
    const { flight } = turn.prop(prop);
    if (flight?.halting && !turn.show.desk.connected)
      turn.setProp(prop, { flight: { ...flight, halting: null } });
  }
  for (const prop of props) {
    const run = turn.prop(prop).heldBy;
    if (!run || turn.show.stop.latched) continue;
    if (excused)
      failRun(turn, run, 'abandoned', { code: 'run-abandoned', for: { code: 'desk-silent' } }, prop);
    else raiseLinkLost(turn, prop);
  }
}

/** Links that were live and have not been heard for the silence; asked at every event, before its needs are. */
export function sweepLinks(turn: Turn): void {
  const { controllers, yard } = turn.show;
  // nearly always none has: asked of all at every event, so without looking any up by its id
  if (Object.values(controllers).every((link) => !link.live || isHeard(link, turn.at, yard.bus.silenceMs)))
    return;
  for (const controller of turn.yard.controllers.keys()) {
    const link = turn.link(controller);
    if (!link.live || isLive(turn.show, controller, turn.at)) continue;
    turn.setLink(controller, { live: false });
    wentSilent(turn, controller);
  }
}

/** Something that boards said was dropped in a flood: every reading is unknown until each has been asked again. */
export function readingsLost(turn: Turn, dropped: number): void {
  const { show, at } = turn;
  turn.record({ code: 'readings-lost', dropped });
  show.desk = { ...show.desk, excusedUntil: Math.max(show.desk.excusedUntil, at + ASKED_ANEW_MS) };
  for (const id of turn.yard.props.keys())
    turn.setProp(id, { sensors: {}, edges: {}, known: propOf(show, id).home === null });
  if (show.desk.connected && !show.desk.standsDown) turn.do({ kind: 'announce' });
}

/** The record can be written again: that starts nothing by itself, so every prop keeps the notice as after its link. */
export function noticeAnew(turn: Turn): void {
  for (const id of turn.yard.props.keys()) turn.setProp(id, { returnedAt: turn.at });
}

/** A board that obeyed a stop since cleared, as one that was away may: it waits for a clear that it did not hear. */
function clearedAlready(
  turn: Turn,
  e: { controller: string; session: string; stop: number; retained: boolean },
): void {
  const { stop, desk } = turn.show;
  if (stop.latched || e.retained || e.stop > stop.clearedN || !desk.connected || desk.standsDown) return;
  if (turn.link(e.controller).linkedAt === turn.at) turn.do({ kind: 'clearStop', stop: stop.clearedN });
}

/** Another controller claims a prop that the file gives to this one. */
function claims(turn: Turn, controller: string, props: readonly string[]): void {
  for (const prop of props) {
    const owner = turn.yard.props.get(prop)?.controller;
    if (owner === undefined || owner === controller) continue;
    raise(turn, { code: 'two-boards', prop, controllers: [owner, controller] });
  }
}

function pastSessionSpoke(turn: Turn, controller: string): void {
  const link = turn.link(controller);
  const returnedAt = [...link.returnedAt.filter((t) => t > turn.at - RETURN_SPAN_MS), turn.at].slice(
    -RETURNS_TWO_BOARDS,
  );
  turn.setLink(controller, { returnedAt });
  if (returnedAt.length < RETURNS_TWO_BOARDS) return;
  for (const prop of turn.yard.controllers.get(controller)!) {
    if (turn.yard.props.get(prop)!.kind === 'stop-station') continue;
    raise(turn, { code: 'two-boards', prop, controllers: [controller, controller] });
  }
}
