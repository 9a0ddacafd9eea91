import { fullTank } from '../yard/air.ts';
import type { Yard } from '../yard/types.ts';
import { type Link, NEVER, type PropState, type SceneState, type Show } from './show.ts';

/** A show that has heard nothing yet: closed, nothing known. */
export function newShow(yard: Yard): Show {
  const each = <T>(ids: Iterable<string>, make: (id: string) => T): Record<string, T> =>
    Object.fromEntries([...ids].map((id) => [id, make(id)]));
  return {
    yard,
    n: 0,
    at: 0,
    offsetMs: 0,
    mode: 'closed',
    modeAt: 0,
    modeBy: '',
    desk: {
      word: '',
      epoch: 0,
      startedAt: 0,
      connected: false,
      excusedUntil: 0,
      announceAfter: 0,
      standsDown: null,
      takingAbove: 0,
      takingAt: 0,
    },
    recordFailing: null,
    stop: {
      latched: false,
      n: 0,
      clearedN: 0,
      at: 0,
      by: '',
      answered: {},
      sentAt: 0,
      reopened: true,
      heardOf: false,
    },
    night: null,
    nextNight: null,
    unplanned: false,
    opening: null,
    openingWaits: [],
    autoOpenUntil: null,
    homing: null,
    controllers: each(yard.controllers.keys(), newLink),
    props: each(yard.props.keys(), newProp),
    scenes: each(yard.scenes.keys(), newScene),
    tanks: each(yard.tanks.keys(), (id) => fullTank(yard.tanks.get(id)!, 0)),
    zoneGaps: each(yard.zones.keys(), () => []),
    runs: [],
    planned: [],
    plannedFrom: 0,
    selfOpened: null,
    counters: { home: 0, bench: 0, asked: 0, nights: 0 },
    gone: {},
    troubleN: 0,
  };
}

export function newLink(): Link {
  return {
    up: false,
    session: null,
    first: null,
    heardAt: NEVER,
    live: false,
    linkedAt: NEVER,
    past: [],
    returnedAt: [],
    firmware: null,
  };
}

export function newProp(): PropState {
  return {
    sensors: {},
    edges: {},
    known: false,
    flight: null,
    lockout: null,
    heldBy: null,
    restUntil: NEVER,
    endedAt: NEVER,
    spans: [],
    travels: {},
    tonight: {},
    nights: {},
    drift: null,
    cycles: 0,
    moves: 0,
    serviceCalledAt: 0,
    lostAt: [],
    returnedAt: NEVER,
    setAside: null,
    bench: null,
    spent: [],
  };
}

export function newScene(): SceneState {
  return { lastStartAt: null, lastEndAt: null, made: 0, skipped: 0, used: {} };
}
