import { timelineOf } from '../yard/timeline.ts';
import type { Scene } from '../yard/types.ts';
import { isPropLive, mustHome, needAgainst, propOf } from './interlock.ts';
import {
  circuitAgainst,
  closeAt,
  dutyAgainst,
  expectedEnd,
  flightsNow,
  quietAt,
  type Stretch,
  stretchesOf,
  tankAgainst,
} from './loads.ts';
import type { Reason } from './reasons.ts';
import { axisOf, type Show } from './show.ts';
import { stationAgainst } from './station.ts';
import { expectNow, expectsOf } from './travel.ts';

/*
 * What stands against a start at this moment. A whole run is asked once, at its start, by the expected times of all
 * its steps; each later move is asked again when it is due, by what is really there then.
 */

/** What bars every movement, whoever asks for it. */
export function yardAgainst(show: Show, at: number): Reason | null {
  if (show.stop.latched) return { code: 'stopped', stop: show.stop.n };
  if (show.desk.standsDown) return { code: 'stands-down', desk: show.desk.standsDown.desk };
  if (!show.desk.connected || show.desk.takingAbove > 0) return { code: 'no-bus' };
  if (show.recordFailing !== null) return { code: 'record-failing', why: show.recordFailing };
  return stationAgainst(show, at);
}

export interface Wanted {
  readonly prop: string;
  readonly move: string;
}

/**
 * What stands against moves that would start together now: link, lockout, rest, needs, and the limits of circuits,
 * tanks and duty. `bench` may move a locked-out prop or one of unknown position.
 */
export function movesAgainst(
  show: Show,
  moves: readonly Wanted[],
  at: number,
  by: 'run' | 'homing' | 'bench' = 'run',
): Reason | null {
  const barred = yardAgainst(show, at);
  if (barred) return barred;
  for (const { prop, move } of moves) {
    const reason =
      propAgainst(show, prop, by, at) ??
      needAgainst(show, prop, move, at) ??
      changingAgainst(show, prop, move, at) ??
      neededAgainst(show, prop, move, moves, at);
    if (reason) return reason;
  }
  const wanted = moves.map(({ prop, move }): Stretch => {
    const endMs = at + expectNow(show, prop, move);
    return { move: propOf(show, prop).moves.get(move)!, startMs: at, endMs, airAtMs: at };
  });
  const there = stretchesNow(show, at);
  const quiet = quietAt(show);
  if (wanted.some((w) => w.move.loud && w.endMs > quiet)) return { code: 'quiet', atMs: quiet };
  const limit = circuitAgainst(show, there, wanted) ?? tankAgainst(show, there, wanted);
  if (limit) return limit;
  for (const [i, { prop }] of moves.entries()) {
    const reason = dutyAgainst(show, prop, [[at, wanted[i]!.endMs]]);
    if (reason) return reason;
  }
  return null;
}

/**
 * The other way round: whether what this move needs of another prop's place still holds, and that prop has already been
 * told to leave it, or to come there before this move would end.
 */
function changingAgainst(show: Show, prop: string, move: string, at: number): Reason | null {
  const endMs = at + expectNow(show, prop, move);
  for (const need of propOf(show, prop).moves.get(move)!.needs) {
    const other = show.props[need.prop]!.flight;
    if (!other || need.prop === prop || (need.kind !== 'made' && need.kind !== 'not-made')) continue;
    const theirs = propOf(show, need.prop);
    const { until } = theirs.moves.get(other.move)!;
    const leaves =
      need.kind === 'made' && theirs.sensors.get(need.sensor)?.kind === 'end' && until !== need.sensor;
    const comes = need.kind === 'not-made' && until === need.sensor && expectedEnd(other, at) < endMs;
    if (leaves || comes) return { code: 'need', prop, move, need, seen: 'moving' };
  }
  return null;
}

/**
 * A carriage does not leave while what needs it there moves: whether this move would take away what another, under way
 * or starting with it, needs until its end. Nor does it arrive, by the times expected, where another needs it not to be.
 */
function neededAgainst(
  show: Show,
  prop: string,
  move: string,
  starting: readonly Wanted[],
  at: number,
): Reason | null {
  const mine = propOf(show, prop);
  const others = [
    ...flightsNow(show)
      .filter(({ flight }) => flight.arrivedAt === null)
      .map(({ prop: id, flight: f }) => ({ prop: id, move: f.move, endMs: expectedEnd(f, at) })),
    ...starting.map((m) => ({ ...m, endMs: at + expectNow(show, m.prop, m.move) })),
  ];
  const { until } = mine.moves.get(move)!;
  const arrivesMs = at + expectNow(show, prop, move);
  for (const other of others) {
    if (other.prop === prop) continue;
    for (const need of propOf(show, other.prop).moves.get(other.move)!.needs) {
      if (need.prop !== prop) continue;
      const leaves =
        need.kind === 'made' && mine.sensors.get(need.sensor)?.kind === 'end' && until !== need.sensor;
      const comes = need.kind === 'not-made' && until === need.sensor && arrivesMs < other.endMs;
      if (need.kind === 'at-rest' || need.kind === 'at-home' || leaves || comes)
        return { code: 'needed-there', prop, by: other.prop, move: other.move };
    }
  }
  return null;
}

/** Only what draws at this moment: a later step of another run asks for itself when it is due. */
const stretchesNow = (show: Show, at: number): Stretch[] =>
  flightsNow(show).length === 0 ? [] : stretchesOf({ ...show, runs: [] }, at);

function propAgainst(show: Show, id: string, by: 'run' | 'homing' | 'bench', at: number): Reason | null {
  const p = show.props[id]!;
  if (p.lockout && by !== 'bench') return { code: 'locked-out', prop: id, fault: p.lockout.fault.code };
  if (!isPropLive(show, id, at)) return { code: 'silent', prop: id };
  if (p.flight?.lost === 'let-go') return { code: 'not-let-go', prop: id, move: p.flight.move };
  if (p.flight) return { code: 'moving', prop: id, move: p.flight.move };
  if (by === 'run' && mustHome(show, id, at)) return { code: 'position-unknown', prop: id };
  return null;
}

/** What stands against a run of a scene starting now, all its steps taken together; null where nothing does. */
export function sceneAgainst(show: Show, scene: Scene, at: number): Reason | null {
  return (
    yardAgainst(show, at) ??
    sceneFreeAgainst(show, scene, at) ??
    zoneAgainst(show, scene, at) ??
    propsAgainst(show, scene, at) ??
    forecastAgainst(show, scene, at)
  );
}

function sceneFreeAgainst(show: Show, scene: Scene, at: number): Reason | null {
  if (show.runs.some((r) => r.scene === scene.id)) return { code: 'scene-running', scene: scene.id };
  const ended = show.scenes[scene.id]!.lastEndAt;
  if (ended !== null && at < ended + scene.restMs)
    return { code: 'scene-rests', scene: scene.id, forMs: ended + scene.restMs - at };
  return null;
}

function zoneAgainst(show: Show, scene: Scene, at: number): Reason | null {
  if (scene.zone === null) return null;
  const zone = show.yard.zones.get(scene.zone)!;
  const running = show.runs.filter((r) => show.yard.scenes.get(r.scene)!.zone === zone.id).length;
  if (running >= zone.atMost) return { code: 'zone', zone: zone.id, atMost: zone.atMost };
  const gaps = show.zoneGaps[zone.id]!.filter((t) => t > at);
  if (running + gaps.length >= zone.atMost)
    return { code: 'zone-gap', zone: zone.id, forMs: Math.min(...gaps) - at };
  return null;
}

function propsAgainst(show: Show, scene: Scene, at: number): Reason | null {
  for (const id of scene.props) {
    const p = show.props[id]!;
    if (p.heldBy) {
      const holder = show.runs.find((r) => r.id === p.heldBy);
      return { code: 'held', prop: id, scene: holder?.scene ?? scene.id };
    }
    if (p.restUntil > at) return { code: 'rests', prop: id, forMs: p.restUntil - at };
    const reason = propAgainst(show, id, 'homing', at);
    if (reason) return reason;
    if (mustHome(show, id, at) && propOf(show, id).homeMove === null)
      return { code: 'no-homing-move', prop: id };
    const soon = show.mode === 'open' ? tooSoonAgainst(show, id, at) : null;
    if (soon) return soon;
  }
  return null;
}

/**
 * A link, a release or a record that resumes starts nothing by itself: in an open yard whatever came back is given the
 * notice first, though a run that wants it may be due.
 */
export function tooSoonAgainst(show: Show, prop: string, at: number): Reason | null {
  const link = show.controllers[propOf(show, prop).controller]!;
  const from = Math.max(show.props[prop]!.returnedAt, link.linkedAt) + (show.night?.noticeMs ?? 0);
  return at < from ? { code: 'too-soon-after-link', prop, forMs: from - at } : null;
}

/** All steps by their expected times: circuits, tanks, duty, quiet and close. Homing comes before the first step. */
function forecastAgainst(show: Show, scene: Scene, at: number): Reason | null {
  const line = timelineOf(show.yard, scene, expectsOf(show));
  let homingMs = 0;
  const homing: { prop: string; move: string }[] = [];
  for (const id of scene.props) {
    if (!mustHome(show, id, at)) continue;
    const move = propOf(show, id).homeMove!;
    homing.push({ prop: id, move });
    homingMs += expectNow(show, id, move);
  }
  const start = at + homingMs;
  const close = closeAt(show);
  if (start + line.lengthMs > close) return { code: 'close', atMs: close };
  const quiet = quietAt(show);
  const timed = line.moves.map((m) => ({ ...m, def: propOf(show, m.prop).moves.get(m.move)! }));
  if (timed.some((m) => m.def.loud && start + m.endMs > quiet)) return { code: 'quiet', atMs: quiet };
  const wanted: Stretch[] = timed.map((m) => ({
    move: m.def,
    startMs: start + m.startMs,
    endMs: start + m.endMs,
    airAtMs: start + m.startMs,
  }));
  let homeAt = at;
  for (const h of homing) {
    const takes = expectNow(show, h.prop, h.move);
    const move = propOf(show, h.prop).moves.get(h.move)!;
    wanted.push({ move, startMs: homeAt, endMs: homeAt + takes, airAtMs: homeAt });
    homeAt += takes;
  }
  if (wanted.length === 0) return null;
  const there = stretchesOf(show, at);
  return (
    circuitAgainst(show, there, wanted) ??
    tankAgainst(show, there, wanted) ??
    dutiesAgainst(show, scene, wanted)
  );
}

function dutiesAgainst(show: Show, scene: Scene, wanted: readonly Stretch[]): Reason | null {
  for (const id of scene.props) {
    const own = propOf(show, id);
    if (!own.duty) continue;
    const spans = wanted
      .filter((s) => own.moves.get(s.move.id) === s.move)
      .map((s): [number, number] => [s.startMs, s.endMs]);
    const reason = spans.length > 0 ? dutyAgainst(show, id, spans) : null;
    if (reason) return reason;
  }
  return null;
}

/** What stands against a start by a trigger, besides all the rest: sooner than `again-after` since the last start. */
export function againAfterAgainst(show: Show, scene: Scene, at: number): Reason | null {
  const last = show.scenes[scene.id]!.lastStartAt;
  if (last === null || at >= last + scene.againAfterMs) return null;
  return { code: 'again-after', scene: scene.id, forMs: last + scene.againAfterMs - at };
}

/** Whether tonight's hours hold at this moment. */
export const inHours = (show: Show, at: number): boolean =>
  show.night !== null && at >= axisOf(show, show.night.openMs) && at < axisOf(show, show.night.closeMs);
