import type { Event } from './events.ts';
import { loseFlight } from './flight.ts';
import { newLink } from './fresh.ts';
import { haltAnew } from './halt.ts';
import { propOf } from './interlock.ts';
import type { Mode, Reason } from './reasons.ts';
import { endRun, failRun } from './run-end.ts';
import { isByHand, type Show, wallOf } from './show.ts';
import { latch } from './stop.ts';
import type { Turn } from './turn.ts';
import { sumUpNight } from './wear.ts';

/*
 * Which desk drives the yard. The one with the highest epoch does; where two are equal, the greater word. A desk that
 * hears a higher one stands down: no heartbeat, no order, though its stop still goes out; it begins anew, with a higher
 * epoch, once the other has been silent for twice the silence. Nothing here ever starts a movement.
 */

/** What a new session within this much of the desk's own silence is put down to. */
const EXCUSE_SILENCES = 4;
const AUTO_OPEN_PATIENCE_MS = 120_000;
const TAKE_AGAIN_MS = 5000;
/** A heartbeat may have been this old when the loop began to stand still. */
const HEARTBEAT_MS = 250;

export function deskStarted(turn: Turn, e: Extract<Event, { kind: 'deskStarted' }>): void {
  const { show, at } = turn;
  const before: Mode = show.mode;
  const wasOpen = before === 'open' || before === 'opening' || show.autoOpenUntil !== null;
  show.offsetMs = e.offsetMs;
  show.desk = {
    word: e.word,
    epoch: e.epoch,
    startedAt: at,
    connected: false,
    excusedUntil: at + excuseMs(show),
    announceAfter: 0,
    standsDown: null,
    takingAbove: 0,
    takingAt: 0,
  };
  show.recordFailing = null;
  forgetWhatMoved(turn);
  show.opening = null;
  show.homing = null;
  show.openingWaits = [];
  show.autoOpenUntil = null;
  const night = e.night ?? nightStillOn(show, before);
  if (show.night?.date !== night?.date) {
    sumUpNight(turn);
    show.planned = [];
    show.plannedFrom = 0;
    show.unplanned = false;
  }
  show.night = night;
  show.nextNight = null;
  const clearedN = Math.max(show.stop.clearedN, e.cleared);
  const stopN = Math.max(show.stop.n, e.stop, clearedN);
  show.stop = { ...show.stop, latched: false, n: clearedN, clearedN, answered: {}, sentAt: 0 };
  if (stopN > clearedN)
    latch(turn, stopN, show.stop.by === '' ? 'before the restart' : show.stop.by, show.stop.heardOf);
  else turn.setMode(night === null ? 'closed' : 'held', 'restart');
  if (night !== null && wasOpen && turn.yard.restart === 'auto' && !show.stop.latched)
    show.autoOpenUntil = at + AUTO_OPEN_PATIENCE_MS;
  turn.record({ code: 'desk-started', epoch: e.epoch, mode: show.mode });
}

/**
 * A night that the calendar does not tell of though it was under way: opened by hand, or in its notice. That of a
 * demonstration, by hand and opening by itself, is not taken up again: it begins anew at each start.
 */
function nightStillOn(show: Show, before: Mode): Show['night'] {
  const { night } = show;
  if (!night || before === 'closed' || (night.opensByItself && isByHand(night))) return null;
  const wall = wallOf(show, show.at);
  return wall >= night.openMs - night.noticeMs && wall < night.closeMs ? night : null;
}

/** After a crash what was under way counts as maybe done: it is lost until its board says otherwise. */
function forgetWhatMoved(turn: Turn): void {
  for (const run of turn.show.runs)
    endRun(turn, run.id, 'abandoned', { code: 'run-abandoned', for: { code: 'restarted' } });
  for (const id of turn.yard.controllers.keys()) {
    const link = turn.link(id);
    const past = link.session === null ? link.past : [link.session, ...link.past].slice(0, 6);
    turn.setLink(id, { ...newLink(), past });
  }
  for (const id of turn.yard.props.keys()) {
    loseFlight(turn, id, 'let-go');
    turn.setProp(id, {
      sensors: {},
      edges: {},
      known: propOf(turn.show, id).home === null,
      bench: null,
      heldBy: null,
    });
  }
}

const excuseMs = (show: Show): number => EXCUSE_SILENCES * show.yard.bus.silenceMs;

export function busConnected(turn: Turn): void {
  const { show, at } = turn;
  show.desk = { ...show.desk, connected: true, excusedUntil: at + excuseMs(show), announceAfter: at + 1000 };
  if (!show.desk.standsDown) turn.do({ kind: 'publishDesk' });
  if (show.stop.latched) turn.do({ kind: 'sendStop', stop: show.stop.n, repeat: true });
  else if (!show.desk.standsDown) turn.do({ kind: 'clearStop', stop: show.stop.clearedN });
  if (!show.desk.standsDown) turn.do({ kind: 'announce' });
  haltAnew(turn);
}

export function busLost(turn: Turn): void {
  const { show } = turn;
  if (!show.desk.connected) return;
  show.desk = { ...show.desk, connected: false, excusedUntil: Number.MAX_SAFE_INTEGER };
  abandonRuns(turn, { code: 'no-bus' });
}

/** The loop stood still, so the boards heard no heartbeat: their new sessions are our doing. */
export function loopStalled(turn: Turn, forMs: number): void {
  const { show, at } = turn;
  turn.record({ code: 'loop-stalled', forMs });
  if (!show.desk.connected || forMs + HEARTBEAT_MS < show.yard.bus.silenceMs) return;
  show.desk = { ...show.desk, excusedUntil: at + excuseMs(show) };
}

function abandonRuns(turn: Turn, why: Reason): void {
  for (const run of turn.show.runs)
    failRun(turn, run.id, 'abandoned', { code: 'run-abandoned', for: why }, null);
}

const isHigher = (a: { epoch: number; desk: string }, b: { epoch: number; word: string }): boolean =>
  a.epoch > b.epoch || (a.epoch === b.epoch && a.desk > b.word);

export function deskHeard(turn: Turn, e: Extract<Event, { kind: 'deskHeard' }>): void {
  const { show, at } = turn;
  if (e.desk === show.desk.word) {
    // a late will of our own stands there: say over it that we are up
    if (!e.up && !show.desk.standsDown) turn.do({ kind: 'publishDesk' });
    return;
  }
  const other = show.desk.standsDown;
  if (!e.up) {
    if (other?.desk === e.desk) show.desk = { ...show.desk, standsDown: { ...other, heardAt: 0 } };
    // it has been here and gone while we were away, and boards follow whom they heard last of the highest
    else if (isHigher(e, show.desk)) raiseAbove(turn, e.epoch);
    return;
  }
  if (!isHigher(e, show.desk)) return;
  if (!other) {
    turn.record({ code: 'stood-down', desk: e.desk, epoch: e.epoch });
    abandonRuns(turn, { code: 'stands-down', desk: e.desk });
    for (const id of turn.yard.props.keys()) loseFlight(turn, id, 'let-go');
    show.opening = null;
    show.homing = null;
    show.autoOpenUntil = null;
    if (show.mode === 'opening' || show.mode === 'open' || show.mode === 'closing')
      turn.setMode('held', 'stood down');
  }
  show.desk = {
    ...show.desk,
    standsDown: { desk: e.desk, epoch: Math.max(e.epoch, other?.epoch ?? 0), heardAt: at },
  };
}

/** A board has heard a desk of a higher epoch. */
export function higherEpochHeard(turn: Turn, epoch: number): void {
  if (epoch > turn.show.desk.epoch) raiseAbove(turn, epoch);
}

/** Boards follow a desk that is no longer heard: raise our epoch above it, on disk first, and be announced. */
function raiseAbove(turn: Turn, epoch: number): void {
  const { show } = turn;
  if (show.desk.standsDown || show.desk.takingAbove >= epoch) return;
  abandonRuns(turn, { code: 'desk-silent' });
  take(turn, epoch);
}

function take(turn: Turn, above: number): void {
  turn.show.desk = { ...turn.show.desk, takingAbove: above, takingAt: turn.at };
  turn.do({ kind: 'takeEpoch', above });
}

export function epochTaken(turn: Turn, epoch: number): void {
  const { show, at } = turn;
  if (epoch <= show.desk.epoch) return;
  const other = show.desk.standsDown;
  // one higher still may have been asked for meanwhile
  const takingAbove = epoch > show.desk.takingAbove ? 0 : show.desk.takingAbove;
  show.desk = { ...show.desk, epoch, takingAbove, excusedUntil: at + excuseMs(show) };
  for (const id of turn.yard.props.keys()) loseFlight(turn, id, 'let-go');
  // a higher one still was heard while the number was being written
  if (other && isHigher(other, show.desk)) return;
  show.desk = { ...show.desk, standsDown: null };
  if (other) turn.record({ code: 'stood-up', epoch });
  if (!show.desk.connected) return;
  turn.do({ kind: 'publishDesk' });
  turn.do({ kind: 'announce' });
}

/** When the other desk has been silent for long enough, or an epoch that the disk refused is asked for again. */
export function standDownDue(show: Show): number {
  const { standsDown: other, takingAbove, takingAt } = show.desk;
  if (takingAbove > 0) return takingAt + TAKE_AGAIN_MS;
  if (!other) return Number.POSITIVE_INFINITY;
  return other.heardAt + 2 * show.yard.bus.silenceMs;
}

/** The other desk has been silent for twice the silence: begin anew above it. */
export function standDownTime(turn: Turn): void {
  const { show, at } = turn;
  if (at < standDownDue(show)) return;
  take(turn, Math.max(show.desk.takingAbove, show.desk.standsDown?.epoch ?? 0, show.desk.epoch));
}
