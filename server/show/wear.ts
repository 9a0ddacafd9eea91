import { driftOf, MOST_NIGHTS, type NightMedian, nightMedian } from '../trend/drift.ts';
import { propOf } from './interlock.ts';
import type { Fault } from './reasons.ts';
import { type PropState, TRAVELS } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * Slow wear, judged once a night when the night is over, so that one night is one sample and the warning does not come
 * and go within it: the middle of each move's whole journeys joins those of the nights before, and where they trend
 * toward the move's limit the prop bears the warning `drift`. It locks nothing out. It is said again at each night's
 * end while it lasts, with the nights that are left, and ends by itself once the times are back.
 */

/** Sums up the journeys since the last night's end; without any, there is nothing to sum up and no night to count. */
export function sumUpNight(turn: Turn): void {
  const timed = [...turn.yard.props.keys()].filter((id) => Object.keys(turn.prop(id).tonight).length > 0);
  if (timed.length === 0) return;
  const night = turn.show.counters.nights + 1;
  turn.show.counters = { ...turn.show.counters, nights: night };
  for (const id of timed) {
    const before = turn.prop(id);
    const nights = withTonight(before, night);
    const drift = nearest(turn, id, nights);
    turn.setProp(id, { tonight: {}, nights, drift });
    if (drift) turn.record({ code: 'lockout-raised', fault: drift }, { prop: id });
    else if (before.drift)
      turn.record({ code: 'drift-over', prop: id, move: before.drift.move! }, { prop: id });
  }
}

/** Of more journeys than are kept the last ones stand for the night. */
function withTonight(p: PropState, night: number): PropState['nights'] {
  const nights: Record<string, readonly NightMedian[]> = { ...p.nights };
  for (const [move, count] of Object.entries(p.tonight)) {
    const ms = nightMedian(p.travels[move]!.slice(-Math.min(count, TRAVELS)));
    if (ms === null) continue;
    const before = Object.hasOwn(nights, move) ? nights[move]! : [];
    nights[move] = [...before, { night, ms }].slice(-MOST_NIGHTS);
  }
  return nights;
}

/** The drift that is nearest to its limit, of all moves of a prop; null where none drifts. */
function nearest(turn: Turn, id: string, nights: PropState['nights']): Fault | null {
  let found: Fault | null = null;
  for (const move of propOf(turn.show, id).moves.values()) {
    const drift = driftOf(Object.hasOwn(nights, move.id) ? nights[move.id]! : [], move.limitMs);
    if (!drift || (found && found.nights! <= drift.nightsLeft)) continue;
    found = {
      code: 'drift',
      prop: id,
      at: turn.at,
      move: move.id,
      tookMs: Math.round(drift.nowMs),
      usualMs: Math.round(drift.fromMs),
      limitMs: drift.limitMs,
      nights: drift.nightsLeft,
    };
  }
  return found;
}
