import { movesAgainst, tooSoonAgainst } from './admission.ts';
import { endMade, isAtHome, isPropLive, propOf } from './interlock.ts';
import type { Reason } from './reasons.ts';
import { orderHome } from './scene.ts';
import type { Turn } from './turn.ts';

/*
 * Bringing the yard home, before it opens and after it closes: in the order of the file, each prop as soon as its
 * needs, circuit, tank and duty allow, once, and no sooner than the notice after its link came back. What can't
 * within two minutes is set aside with why; what can't be heard, or has no homing move, at once.
 */

export const HOMING_PATIENCE_MS = 120_000;

export function beginHoming(turn: Turn): void {
  const waiting: string[] = [];
  for (const prop of turn.yard.props.values()) {
    if (prop.home === null || turn.prop(prop.id).lockout) continue;
    const there = isAtHome(turn.show, prop.id, turn.at);
    const why = there ? null : unable(turn, prop.id);
    turn.setProp(prop.id, { setAside: why });
    if (there) continue;
    if (!why) waiting.push(prop.id);
  }
  turn.show.homing = { since: turn.at, waiting, moving: [] };
}

/** A prop that can't be homed at all: homing does not wait for it. */
function unable(turn: Turn, prop: string): Reason | null {
  if (!isPropLive(turn.show, prop, turn.at)) return { code: 'silent', prop };
  if (propOf(turn.show, prop).homeMove === null) return { code: 'no-homing-move', prop };
  return null;
}

/** Takes homing as far as it goes now; true once it is over. */
export function advanceHoming(turn: Turn): boolean {
  const homing = turn.show.homing;
  if (!homing) return true;
  const moving = homing.moving.filter((prop) => stillMoving(turn, prop));
  const waiting: string[] = [];
  for (const prop of homing.waiting) {
    if (isAtHome(turn.show, prop, turn.at)) {
      // brought there by a person, or by a move that was under way when homing began
      turn.record({ code: 'homed', prop }, { prop });
      continue;
    }
    const reason = turn.prop(prop).lockout
      ? lockedOut(turn, prop)
      : (unable(turn, prop) ?? tryHome(turn, prop));
    if (!reason) {
      moving.push(prop);
      continue;
    }
    const given =
      turn.at >= homing.since + HOMING_PATIENCE_MS ||
      reason.code === 'silent' ||
      reason.code === 'locked-out';
    if (given) turn.setProp(prop, { setAside: reason });
    else waiting.push(prop);
  }
  const over = waiting.length === 0 && moving.length === 0;
  const same = waiting.length === homing.waiting.length && moving.join() === homing.moving.join();
  if (over) turn.show.homing = null;
  else if (!same) turn.show.homing = { ...homing, waiting, moving };
  return over;
}

const lockedOut = (turn: Turn, prop: string): Reason => ({
  code: 'locked-out',
  prop,
  fault: turn.prop(prop).lockout!.fault.code,
});

function tryHome(turn: Turn, prop: string): Reason | null {
  const held = turn.prop(prop).heldBy;
  const holder = held ? turn.run(held) : undefined;
  if (holder) return { code: 'held', prop, scene: holder.scene };
  const move = propOf(turn.show, prop).homeMove!;
  const reason =
    tooSoonAgainst(turn.show, prop, turn.at) ?? movesAgainst(turn.show, [{ prop, move }], turn.at, 'homing');
  if (!reason) orderHome(turn, prop);
  return reason;
}

function stillMoving(turn: Turn, prop: string): boolean {
  const flight = turn.prop(prop).flight;
  if (flight && !flight.lost) return true;
  if (isAtHome(turn.show, prop, turn.at)) turn.record({ code: 'homed', prop }, { prop });
  else if (!turn.prop(prop).lockout) turn.setProp(prop, { setAside: { code: 'not-at-home', prop } });
  return false;
}

/** What homing of one prop waits for now, for the page. */
export function homingWaits(turn: Pick<Turn, 'show'>, prop: string, at: number): Reason | null {
  const move = propOf(turn.show, prop).homeMove;
  if (move === null) return { code: 'no-homing-move', prop };
  return endMade(turn.show, prop, at) === propOf(turn.show, prop).home
    ? null
    : (tooSoonAgainst(turn.show, prop, at) ?? movesAgainst(turn.show, [{ prop, move }], at, 'homing'));
}
