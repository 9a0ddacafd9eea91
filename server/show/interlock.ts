import type { Need, Prop } from '../yard/types.ts';
import type { Reason } from './reasons.ts';
import type { Link, Show } from './show.ts';

/*
 * Interlocks: what must hold when a move starts and until it ends. A sensor counts only while it is fresh: its reading
 * is of the session of a live link. What is not fresh is unknown, and unknown never satisfies a need, not even a 'not'.
 */

/** Whether a controller's link is up and something of its session came within the silence. */
export function isLive(show: Show, controller: string, at: number): boolean {
  return isHeard(show.controllers[controller]!, at, show.yard.bus.silenceMs);
}

export const isHeard = (link: Link, at: number, silenceMs: number): boolean =>
  link.up && link.session !== null && at - link.heardAt <= silenceMs;

export function propOf(show: Show, id: string): Prop {
  return show.yard.props.get(id)!;
}

export function isPropLive(show: Show, prop: string, at: number): boolean {
  return isLive(show, propOf(show, prop).controller, at);
}

/** true or false where the sensor is fresh, null where it is unknown. */
export function reading(show: Show, prop: string, sensor: string, at: number): boolean | null {
  const seen = show.props[prop]!.sensors[sensor];
  if (!seen || !isPropLive(show, prop, at)) return null;
  return seen.session === show.controllers[propOf(show, prop).controller]!.session ? seen.made : null;
}

/** Its link live and no move of it accepted and unended in this session. */
export function isAtRest(show: Show, prop: string, at: number): boolean {
  return show.props[prop]!.flight === null && isPropLive(show, prop, at);
}

export function isAtHome(show: Show, prop: string, at: number): boolean {
  const home = propOf(show, prop).home;
  return home !== null && isAtRest(show, prop, at) && reading(show, prop, home, at) === true;
}

/**
 * Whether a prop must be brought home before a scene may use it: its position is unknown, or homing set it aside and
 * it still stands elsewhere.
 */
export function mustHome(show: Show, prop: string, at: number): boolean {
  const { known, setAside } = show.props[prop]!;
  return !known || (setAside !== null && propOf(show, prop).home !== null && !isAtHome(show, prop, at));
}

/** The end that is made and fresh, or the home where it is; null where none is. */
export function endMade(show: Show, prop: string, at: number): string | null {
  const p = propOf(show, prop);
  for (const sensor of p.sensors.values()) {
    if ((sensor.kind === 'end' || sensor.id === p.home) && reading(show, prop, sensor.id, at) === true)
      return sensor.id;
  }
  return null;
}

type Seen = Extract<Reason, { code: 'need' }>['seen'];

/** What stands against a need, or null where it holds. */
export function against(show: Show, need: Need, at: number): Seen | null {
  if (need.kind === 'made' || need.kind === 'not-made') {
    const made = reading(show, need.prop, need.sensor, at);
    if (made === null) return isPropLive(show, need.prop, at) ? 'unknown' : 'silent';
    if (need.kind === 'made') return made ? null : 'not-made';
    return made ? 'made' : null;
  }
  if (!isPropLive(show, need.prop, at)) return 'silent';
  if (show.props[need.prop]!.flight !== null) return 'moving';
  if (need.kind === 'at-rest') return null;
  return isAtHome(show, need.prop, at) ? null : 'away';
}

/**
 * The first need of a move that does not hold now, as a reason; null where all hold. During the move its own rest and
 * its own ends are not asked: a move takes its prop away from them by its nature.
 */
export function needAgainst(
  show: Show,
  prop: string,
  move: string,
  at: number,
  when: 'start' | 'during' = 'start',
): Reason | null {
  const own = propOf(show, prop);
  for (const need of own.moves.get(move)!.needs) {
    if (when === 'during' && need.prop === prop && leavesByNature(own, need)) continue;
    const seen = against(show, need, at);
    if (seen) return { code: 'need', prop, move, need, seen };
  }
  return null;
}

export const leavesByNature = (own: Prop, need: Need): boolean =>
  need.kind === 'at-rest' || need.kind === 'at-home' || own.sensors.get(need.sensor)?.kind === 'end';
