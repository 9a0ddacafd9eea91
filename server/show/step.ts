import { benchLifted, benchPressed, benchTime } from './bench.ts';
import type { Effect } from './effects.ts';
import type { Event } from './events.ts';
import { acknowledged, lockoutAsked, releaseAsked } from './fault.ts';
import { moveReported } from './flight.ts';
import {
  busConnected,
  busLost,
  deskHeard,
  deskStarted,
  epochTaken,
  loopStalled,
  standDownTime,
} from './identity.ts';
import { beatsHeard, heardFrom, linkHeard, noticeAnew, readingsLost, sweepLinks } from './link.ts';
import { advanceMode, closeAsked, holdAsked, openAsked, watchNight } from './night.ts';
import { flightTime } from './overdue.ts';
import { nightDrawn, planMended, startPlanned } from './planned.ts';
import { sensorChanged } from './prop.ts';
import { advanceRun, sceneAsked } from './scene.ts';
import type { Show } from './show.ts';
import { watchStations } from './station.ts';
import { clearAsked, stopAnswered, stopHeard, stopNow, stopTime } from './stop.ts';
import { Turn } from './turn.ts';
import { watchInterlocks } from './watch.ts';
import { yardChanged } from './yard-changed.ts';

/**
 * The one door: the only place where the state of the show changes. Pure: the same show and event give the same show
 * and effects, and neither is changed. An event's number must be one above the show's, its time not before.
 */
export function step(before: Show, event: Event): { show: Show; effects: readonly Effect[] } {
  const turn = new Turn(before, event);
  take(turn, event);
  // the desk's own standing still judges nobody: what came meanwhile is heard first
  if (event.kind !== 'loopStalled' && !event.waits) settle(turn);
  return { show: turn.show, effects: turn.effects };
}

function take(turn: Turn, e: Event): void {
  const { show } = turn;
  switch (e.kind) {
    case 'timeReached':
      return deadlines(turn);
    case 'sensorChanged':
      return sensorChanged(turn, e);
    case 'beatsHeard':
      return beatsHeard(turn, e);
    case 'moveReported': {
      const controller = turn.yard.props.get(e.prop)!.controller;
      if (turn.link(controller).session === e.session) heardFrom(turn, controller);
      return moveReported(turn, e);
    }
    case 'linkHeard':
      return linkHeard(turn, e);
    case 'stoppedHeard':
      return e.safe ? stopAnswered(turn, e.controller, e.stop, e.session) : undefined;
    case 'stopHeard':
      return stopHeard(turn, e);
    case 'deskHeard':
      return deskHeard(turn, e);
    case 'busConnected':
      return busConnected(turn);
    case 'busLost':
      return busLost(turn);
    case 'stopPressed':
      stopNow(turn, e.by);
      return;
    case 'clearAsked':
      return clearAsked(turn, e.by, e.seen);
    case 'openAsked':
      return openAsked(turn, e);
    case 'holdAsked':
      return holdAsked(turn, e.by);
    case 'closeAsked':
      return closeAsked(turn, e.by);
    case 'sceneAsked':
      return sceneAsked(turn, e.scene);
    case 'lockoutAsked':
      return lockoutAsked(turn, e.prop, e.by, e.why);
    case 'releaseAsked':
      return releaseAsked(turn, e.prop, e.by, e.seen);
    case 'acknowledged':
      return acknowledged(turn, e.prop, e.by);
    case 'benchPressed':
      return benchPressed(turn, e);
    case 'benchLifted':
      return benchLifted(turn, e.prop, e.press);
    case 'deskStarted':
      return deskStarted(turn, e);
    case 'epochTaken':
      return epochTaken(turn, e.epoch);
    case 'clockStepped':
      turn.record({ code: 'clock-stepped', byMs: e.offsetMs - show.offsetMs });
      show.offsetMs = e.offsetMs;
      return turn.mend();
    case 'nightDrawn':
      return nightDrawn(turn, e);
    case 'planMended':
      return planMended(turn, e);
    case 'yardChanged':
      return yardChanged(turn, e);
    case 'readingsLost':
      return readingsLost(turn, e.dropped);
    case 'recordFailed':
      show.recordFailing = e.why;
      return;
    case 'recordResumed':
      show.recordFailing = null;
      return noticeAnew(turn);
    case 'loopStalled':
      return loopStalled(turn, e.forMs);
  }
}

/** Everything that waits for time and whose time has come. */
function deadlines(turn: Turn): void {
  for (const id of turn.yard.props.keys()) {
    benchTime(turn, id);
    flightTime(turn, id);
  }
  stopTime(turn);
  standDownTime(turn);
}

/**
 * What follows from the present state, whatever brought it about: who has gone silent, stops, halts, and then what may
 * go on.
 */
function settle(turn: Turn): void {
  sweepLinks(turn);
  watchStations(turn);
  watchInterlocks(turn);
  // twice: what ends in the first pass may be what another run waited for
  for (let pass = 0; pass < 2; pass++) for (const run of turn.show.runs) advanceRun(turn, run.id);
  watchNight(turn);
  advanceMode(turn);
  startPlanned(turn);
  for (const run of turn.show.runs) if (run.startedAt === turn.at) advanceRun(turn, run.id);
}
