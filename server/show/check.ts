import { freeLitres } from '../yard/air.ts';
import type { Need, Prop } from '../yard/types.ts';
import type { Effect, StartMove } from './effects.ts';
import type { Event } from './events.ts';
import { against, leavesByNature, propOf, reading } from './interlock.ts';
import { ampsNow, quietAt } from './loads.ts';
import { lateAllowedMs } from './planned.ts';
import type { Mode } from './reasons.ts';
import { type Flight, type PropState, type Show, TRAVELS, wallOf } from './show.ts';
import { anyFlight, isWatched } from './watch.ts';

/*
 * The invariants, asked after every step: what must never happen, whatever came in. It covers what the desk knows and
 * commands; what physics or a frozen phone can break is for the simulated storm. It looks only at what the step
 * changed, so that it can always be on.
 */

export interface Breach {
  readonly invariant: number;
  readonly text: string;
}

const GRAIN = 1e-6;

export function checkShow(before: Show, event: Event, after: Show, effects: readonly Effect[]): Breach[] {
  const out: Breach[] = [];
  const breach = (invariant: number, text: string): void => {
    out.push({ invariant, text: `invariant ${invariant}: ${text} (event ${event.n}, ${event.kind})` });
  };
  const starts = effects.filter((e) => e.kind === 'startMove');
  for (const start of starts) checkStart(before, event, after, start, breach);
  if (after.props !== before.props) checkProps(before, event, after, breach);
  // where the core judges nobody's silence yet, neither does this
  if (event.kind !== 'loopStalled' && !event.waits) checkFlights(after, breach);
  checkStop(before, event, after, effects, breach);
  if (after.mode !== before.mode || event.kind === 'deskStarted') checkMode(before, event, after, breach);
  if (after.planned !== before.planned || after.runs !== before.runs) checkRuns(before, event, after, breach);
  return out;
}

type Say = (invariant: number, text: string) => void;

/** 1, 3, 5, 6, 7, 14, 18, 20: every order to move, by the state it leaves behind. */
function checkStart(before: Show, event: Event, after: Show, s: StartMove, breach: Say): void {
  const { at } = event;
  const what = `${s.prop}.${s.move} of ${s.run}`;
  const flight = after.props[s.prop]!.flight;
  const move = propOf(after, s.prop).moves.get(s.move)!;
  const was = before.props[s.prop]!.flight;
  if (!flight || flight.run !== s.run || flight.step !== s.step)
    return breach(6, `${what} was told and is not under way`);
  const again = was !== null && was.run === s.run && was.step === s.step;
  if (was && !again && !endedBy(event, s.prop, was, after))
    breach(6, `${what} was told while ${was.move} is under way`);
  if (again && !(was.tries === 1 && flight.tries === 2 && was.startedAt === null))
    breach(7, `${what} was told a third time, or after it had started`);
  // told again, it may have left its own end by now
  const own = again ? leavesByNature : (_: Prop, n: Need) => n.kind === 'at-rest' || n.kind === 'at-home';
  for (const need of move.needs) {
    if (need.prop === s.prop && own(propOf(after, s.prop), need)) continue;
    const seen = against(after, need, at);
    if (seen) breach(1, `${what} was told though ${need.prop} is ${seen}`);
  }
  checkLeaves(after, s, breach);
  if (s.session !== after.controllers[propOf(after, s.prop).controller]!.session)
    breach(12, `${what} bears a session that no longer stands`);
  const p = after.props[s.prop]!;
  if (!p.known && flight.origin !== 'homing' && flight.origin !== 'bench')
    breach(5, `${what} was told though its position is unknown`);
  if (p.lockout && flight.origin !== 'bench') breach(4, `${what} was told though it is locked out`);
  if (after.desk.standsDown) breach(14, `${what} was told while standing down`);
  if (after.recordFailing !== null) breach(17, `${what} was told though the record can't be written`);
  if (!again) checkLimits(after, at, s, breach);
  const bench = flight.origin === 'bench';
  if (
    bench
      ? after.mode !== 'closed' && after.mode !== 'held'
      : after.mode === 'closed' || after.mode === 'stopped'
  )
    breach(20, `${what} was told while ${after.mode}`);
  if (!bench && !after.stop.reopened) breach(8, `${what} was told after a clear and before anyone opened`);
  if (!again && move.loud && at + flight.expectMs > quietAt(after))
    breach(20, `${what} is loud and would end after quiet`);
}

/** 3: no carriage is sent away from an end at which something that moves needs it. */
function checkLeaves(after: Show, s: StartMove, breach: Say): void {
  const own = propOf(after, s.prop);
  for (const id of after.yard.props.keys()) {
    const f = after.props[id]!.flight;
    if (!f || id === s.prop || f.arrivedAt !== null) continue;
    for (const need of propOf(after, id).moves.get(f.move)!.needs) {
      if (need.prop !== s.prop || need.kind !== 'made' || own.sensors.get(need.sensor)!.kind !== 'end')
        continue;
      if (own.moves.get(s.move)!.until !== need.sensor)
        breach(3, `${s.prop}.${s.move} was told while ${id}.${f.move} needs it at ${need.sensor}`);
    }
  }
}

/** Whether this very event brought the move under way to its end, so that the next may follow in the same turn. */
function endedBy(event: Event, prop: string, was: Flight, after: Show): boolean {
  if (event.kind === 'moveReported') {
    const halted = event.is === 'halted' && was.halting !== null;
    return event.prop === prop && (halted || event.run === was.run) && event.is !== 'started';
  }
  return event.kind === 'linkHeard' && event.controller === propOf(after, prop).controller;
}

/** 18: what is commanded stays within circuits, tanks and duty. */
function checkLimits(after: Show, at: number, s: StartMove, breach: Say): void {
  const move = propOf(after, s.prop).moves.get(s.move)!;
  for (const load of move.loads) {
    const c = after.yard.circuits.get(load.circuit)!;
    const now = ampsNow(after, load.circuit, at);
    if (now.run > c.continuous * c.breakerAmps + GRAIN)
      breach(
        18,
        `${load.circuit} would carry ${now.run} A for long, above ${c.continuous * c.breakerAmps} A`,
      );
    if (now.peak > c.breakerAmps + GRAIN)
      breach(18, `${load.circuit} would carry ${now.peak} A, above its breaker`);
  }
  for (const air of move.air) {
    const tank = after.yard.tanks.get(air.tank)!;
    if (after.tanks[air.tank]!.litres < freeLitres(tank, tank.workingKpa) - GRAIN)
      breach(18, `${air.tank} is drawn below its working pressure`);
  }
  const { duty } = propOf(after, s.prop);
  if (!duty) return;
  const p = after.props[s.prop]!;
  const end = at + p.flight!.expectMs;
  let moved = p.flight!.expectMs;
  for (const [a, b] of p.spans) moved += Math.max(0, Math.min(b, end) - Math.max(a, end - duty.overMs));
  if (moved > duty.on * duty.overMs + GRAIN) breach(18, `${s.prop} would move more than its duty allows`);
}

/** 4, 12, 13, 15, 24: props that changed. */
function checkProps(before: Show, event: Event, after: Show, breach: Say): void {
  for (const id of changedProps(before, after)) {
    const was = before.props[id]!;
    const now = after.props[id]!;
    if (was.lockout && !now.lockout && !mayRelease(was, event))
      breach(15, `${id}'s lockout went away by itself`);
    if (event.kind === 'sensorChanged' && event.prop !== id && was.sensors !== now.sensors)
      breach(13, `word of ${event.prop} changed a reading of ${id}`);
    const ends = [...propOf(after, id).sensors.values()].filter(
      (s) => s.kind === 'end' && reading(after, id, s.id, event.at) === true,
    );
    if (ends.length > 1 && !now.lockout) breach(4, `${id} shows two ends made and is not locked out`);
    if (Object.values(now.travels).some((t) => t.length > TRAVELS))
      breach(24, `${id} keeps too many travel times`);
  }
}

/** Asked at every event: by their places, which a step never changes, and looked up by id only where they differ. */
function changedProps(before: Show, after: Show): string[] {
  const was = Object.values(before.props);
  const now = Object.values(after.props);
  if (before.yard !== after.yard || was.length !== now.length) return [...after.yard.props.keys()];
  const places: number[] = [];
  for (let i = 0; i < now.length; i++) if (was[i] !== now[i]) places.push(i);
  if (places.length === 0) return [];
  const ids = Object.keys(after.props);
  return places.map((i) => ids[i]!);
}

function mayRelease(was: PropState, event: Event): boolean {
  if (event.kind === 'releaseAsked') return true;
  const answers = event.kind === 'linkHeard' || event.kind === 'stoppedHeard';
  return answers && was.lockout!.untilStop !== null;
}

/** 2, 3, 12: every move under way, by its needs and its session. */
function checkFlights(after: Show, breach: Say): void {
  if (after.stop.latched || !after.desk.connected || after.desk.standsDown) return;
  if (!anyFlight(after)) return;
  for (const id of after.yard.props.keys()) {
    const f = after.props[id]!.flight;
    if (!f || !isWatched(after, id, f, after.at)) continue;
    const prop = propOf(after, id);
    if (!f.lost && f.session !== after.controllers[prop.controller]!.session)
      breach(12, `${id}.${f.move} goes on though its session is void`);
    for (const need of prop.moves.get(f.move)!.needs) {
      if (need.prop === id) continue;
      const seen = against(after, need, after.at);
      if (seen) breach(2, `${id}.${f.move} goes on though ${need.prop} is ${seen}`);
    }
  }
}

/** 8, 11: nothing that moves with or after a stop; only a person's clear ends it, and it opens nothing. */
function checkStop(before: Show, event: Event, after: Show, effects: readonly Effect[], breach: Say): void {
  const moves = effects.some((e) => e.kind === 'startMove');
  if (moves && (after.stop.latched || before.stop.latched))
    breach(8, 'something was told to move under a stop');
  if (
    before.stop.latched &&
    !after.stop.latched &&
    event.kind !== 'clearAsked' &&
    event.kind !== 'deskStarted' &&
    !(event.kind === 'stopHeard' && (event.waits || before.desk.standsDown !== null))
  )
    breach(8, 'a stop went away without a person clearing it');
  if (after.stop.clearedN < before.stop.clearedN) breach(8, 'the cleared number fell');
  if (after.stop.latched && after.mode !== 'stopped')
    breach(8, `a stop is latched and the mode is ${after.mode}`);
  if (event.kind === 'stopPressed' && (moves || !after.stop.latched))
    breach(11, 'a stop did something else than stop');
}

/** From each mode, the modes it may lead to. A start of the desk may lead to any but the moving ones. */
export const MODES_FROM: Readonly<Record<Mode, readonly Mode[]>> = {
  closed: ['opening', 'stopped'],
  opening: ['open', 'held', 'closing', 'stopped'],
  open: ['held', 'closing', 'stopped'],
  held: ['opening', 'closing', 'closed', 'stopped'],
  closing: ['closed', 'held', 'stopped'],
  stopped: ['held'],
};

function checkMode(before: Show, event: Event, after: Show, breach: Say): void {
  const restart = event.kind === 'deskStarted';
  if (restart ? after.mode === 'open' || after.mode === 'opening' : !reaches(before.mode, after.mode))
    breach(8, `the mode went from ${before.mode} to ${after.mode}`);
}

/** A turn may pass through an opening or a closing on its way: one with nothing to wait for is over at once. */
const reaches = (from: Mode, to: Mode): boolean =>
  MODES_FROM[from].includes(to) ||
  (to === 'open' && MODES_FROM[from].includes('opening')) ||
  (to === 'closed' && MODES_FROM[from].includes('closing')) ||
  // a clear leads to held, and a held yard whose hour is over is closed
  (to === 'closed' && MODES_FROM[from].includes('held'));

/** 19, 20, 22: runs that began in this step. */
function checkRuns(before: Show, event: Event, after: Show, breach: Say): void {
  for (const run of after.runs) {
    if (run.startedAt !== event.at || before.runs.some((r) => r.id === run.id)) continue;
    if (run.origin !== 'notice' && after.mode !== 'open' && after.mode !== 'stopped')
      breach(20, `${run.id} began while ${after.mode}`);
    if (run.origin === 'trigger' && event.kind === 'sensorChanged' && event.retained)
      breach(22, `${run.id} was set off by a retained message`);
    const planned = after.planned.find((p) => p.id === run.id);
    if (!planned) continue;
    const late = wallOf(after, event.at) - planned.drawnMs;
    // looked at every RETRY_MS, so a start may come that much after its last moment, never more
    if (late > lateAllowedMs(after, run.scene) + 1000 || late < 0)
      breach(19, `${run.id} began ${late} ms off its time`);
  }
}
