import { announceSoon } from './announce.ts';
import { halt } from './halt.ts';
import { endMade, isPropLive, propOf, reading } from './interlock.ts';
import type { Fault, FaultCode, Reason } from './reasons.ts';
import { failRun } from './run-end.ts';
import type { Lockout, Show } from './show.ts';
import { stopNow } from './stop.ts';
import type { Turn } from './turn.ts';

/*
 * A fault is raised once, locks its prop out, and stays until a person releases it; nothing else ever lifts it, save
 * the one kind that ends when a controller at last answers the stop. A release moves nothing.
 *
 *   well ── raise ──► locked out ── acknowledge (changes nothing else) ──► locked out ── release ──► well
 */

/** Faults that something unheard may be behind: a queue that threw away the word of an edge or of an end. */
const UNHEARD: readonly FaultCode[] = ['travel-slow', 'no-departure', 'overrun', 'no-answer'];

const LOST_SPAN_MS = 600_000;
const LOST_TIMES = 3;
/** The second board must have been silent this long before its fault can be released. */
const TWO_BOARDS_QUIET_MS = 5000;

/** Faults that say more than the one already there, within this time of it: the first word was only its beginning. */
const DEEPER: Partial<Record<FaultCode, readonly FaultCode[]>> = {
  chatter: ['end-lost', 'stray-move'],
  'both-ends': ['end-lost', 'stray-move', 'travel-short'],
};
const DEEPER_MS = 2000;

export function raise(turn: Turn, fault: Omit<Fault, 'at'>): void {
  const whole: Fault = { ...fault, at: turn.at };
  const before = turn.prop(fault.prop).lockout;
  if (fault.code !== 'link-lost')
    halt(turn, fault.prop, fault.code === 'interlock-lost' ? 'interlock' : fault.code);
  if (before && !isDeeper(before, whole)) return;
  turn.setProp(fault.prop, {
    lockout: { fault: whole, n: turn.event.n, acknowledged: false, untilStop: null, hand: handOf(before) },
    known: propOf(turn.show, fault.prop).home === null,
    setAside: null,
  });
  turn.show.troubleN = turn.event.n;
  turn.record({ code: 'lockout-raised', fault: whole }, { prop: fault.prop });
  // nobody says it a second time unless asked, and until then it stands as it was last heard
  if (UNHEARD.includes(fault.code)) announceSoon(turn);
  keptOrStopped(turn);
  const run = turn.prop(fault.prop).heldBy;
  if (run)
    failRun(turn, run, 'failed', { code: 'run-failed', prop: fault.prop, fault: fault.code }, fault.prop);
  else turn.mend();
}

/** What a person said who took it out of service, under whatever fault. */
const handOf = (lockout: Lockout | null): string | null =>
  lockout?.fault.code === 'by-hand' ? (lockout.fault.why ?? '') : (lockout?.hand ?? null);

/** What is left of a prop's lockout once its fault is gone: a person's, where there is one. */
export function handLockout(turn: Turn, prop: string): Lockout | null {
  const before = turn.prop(prop).lockout;
  if (!before || before.hand === null || before.hand === undefined) return null;
  const fault: Fault = { code: 'by-hand', prop, at: turn.at, why: before.hand };
  return { fault, n: before.n, acknowledged: before.acknowledged, untilStop: null, hand: null };
}

/** A lockout that the record can't take would be gone after a restart; the small file still takes a stop. */
function keptOrStopped(turn: Turn): void {
  if (turn.show.recordFailing !== null && !turn.show.stop.latched) stopNow(turn, 'record');
}

/** What takes the place of the fault that is there: any in place of one that would go by itself, and a dead halt. */
function isDeeper(before: Lockout, fault: Fault): boolean {
  if (before.untilStop !== null) return true;
  if (fault.code === 'dead-halt') return before.fault.code !== 'dead-halt';
  return (
    (DEEPER[fault.code]?.includes(before.fault.code) ?? false) && fault.at - before.fault.at <= DEEPER_MS
  );
}

/** A link gone in the middle of a run: no lockout at first, since it comes back by itself; the third in ten minutes is. */
export function raiseLinkLost(turn: Turn, prop: string): void {
  const lostAt = [...turn.prop(prop).lostAt.filter((t) => t > turn.at - LOST_SPAN_MS), turn.at];
  turn.setProp(prop, { lostAt });
  const fault: Fault = { code: 'link-lost', prop, at: turn.at, times: lostAt.length };
  if (lostAt.length >= LOST_TIMES) return raise(turn, fault);
  turn.show.troubleN = turn.event.n;
  turn.record({ code: 'lockout-raised', fault }, { prop });
  const run = turn.prop(prop).heldBy;
  if (run) failRun(turn, run, 'failed', { code: 'run-failed', prop, fault: 'link-lost' }, prop);
}

/**
 * A prop halted because the link of one that it needs was lost. That fault locks nothing out and returns by itself, so
 * this one, which is grouped under it, does too: it is told, the prop is halted, and its run fails.
 */
export function raiseUnderLost(turn: Turn, fault: Omit<Fault, 'at'>): void {
  halt(turn, fault.prop, 'interlock');
  turn.show.troubleN = turn.event.n;
  turn.record({ code: 'lockout-raised', fault: { ...fault, at: turn.at } }, { prop: fault.prop });
  const run = turn.prop(fault.prop).heldBy;
  const why: Reason = { code: 'run-failed', prop: fault.prop, fault: fault.code };
  if (run) failRun(turn, run, 'failed', why, fault.prop);
}

/** Sensors of a prop that contradict each other now: more than one end made. */
export function contradictions(show: Show, prop: string, at: number): string[] {
  const made = [...propOf(show, prop).sensors.values()].filter(
    (s) => s.kind === 'end' && reading(show, prop, s.id, at) === true,
  );
  return made.length > 1 ? made.map((s) => s.id) : [];
}

/** Both ends at once: asked at each word of an end, and when what was heard before counts again. True where it is so. */
export function watchContradictions(turn: Turn, prop: string, said?: string): boolean {
  const ends = contradictions(turn.show, prop, turn.at);
  if (ends.length === 0) return false;
  const sensor = said ?? ends[0]!;
  raise(turn, { code: 'both-ends', prop, sensor, other: ends.find((s) => s !== sensor) ?? sensor });
  return true;
}

/** Why a lockout can't be released now; null where a person may. */
export function releaseAgainst(show: Show, prop: string, at: number): Reason | null {
  const lockout = show.props[prop]!.lockout;
  if (!lockout) return { code: 'not-locked-out', prop };
  if (lockout.untilStop !== null) return { code: 'not-answered', prop };
  const first = lockout.fault.first;
  if (first !== undefined && show.props[first]?.lockout) return { code: 'follows-other', prop, first };
  const sensors = contradictions(show, prop, at);
  if (sensors.length > 0) return { code: 'still-contradicts', prop, sensors };
  const returns = show.controllers[propOf(show, prop).controller]!.returnedAt;
  if (lockout.fault.code === 'two-boards' && returns.some((t) => t > at - TWO_BOARDS_QUIET_MS))
    return { code: 'two-boards-still', prop };
  return null;
}

/** Back into service: moves nothing. Those grouped under it go with it, save one that has trouble of its own by now. */
export function release(turn: Turn, prop: string, by: string): void {
  const code = turn.prop(prop).lockout!.fault.code;
  turn.setProp(prop, {
    lockout: null,
    known: propOf(turn.show, prop).home === null || endMade(turn.show, prop, turn.at) !== null,
    returnedAt: turn.at,
    lostAt: [],
    edges: {},
  });
  turn.record({ code: 'lockout-released', by, fault: code }, { prop });
  for (const id of turn.yard.props.keys()) {
    const lockout = turn.prop(id).lockout;
    if (lockout?.fault.first !== prop) continue;
    const hand = handLockout(turn, id);
    if (hand) turn.setProp(id, { lockout: hand });
    else if (contradictions(turn.show, id, turn.at).length === 0) release(turn, id, by);
    else turn.setProp(id, { lockout: { ...lockout, fault: alone(lockout.fault) } });
  }
  turn.mend();
}

function alone({ first: _, ...fault }: Fault): Fault {
  return fault;
}

export function releaseAsked(turn: Turn, prop: string, by: string, seen: number): void {
  const lockout = turn.prop(prop).lockout;
  if (lockout && turn.show.troubleN > seen)
    return turn.answer([{ code: 'newer-trouble', prop: lockout.n > seen ? prop : null }]);
  const reason = releaseAgainst(turn.show, prop, turn.at);
  if (reason) return turn.answer([reason]);
  release(turn, prop, by);
  turn.answer();
}

/**
 * Out of service by a person's hand, beside whatever fault there is. One that can't be heard and was moving is told
 * once to halt; it draws nothing any more from then on, but at rest it is only once its board says so.
 */
export function lockoutAsked(turn: Turn, prop: string, by: string, why: string): void {
  if (turn.yard.props.get(prop)!.kind === 'stop-station')
    return turn.answer([{ code: 'station-cannot', prop }]);
  const { lockout: before, flight } = turn.prop(prop);
  const unheard = flight !== null && (flight.lost === 'let-go' || !isPropLive(turn.show, prop, turn.at));
  const news = unheard && !flight.freed;
  if (news) {
    halt(turn, prop, 'by-hand');
    turn.setProp(prop, { flight: { ...turn.prop(prop).flight!, freed: true } });
  }
  if (!before) raise(turn, { code: 'by-hand', prop, why: why === '' ? by : why });
  else if (handOf(before) === null) alsoByHand(turn, prop, before, why === '' ? by : why);
  else if (!news) return turn.answer([{ code: 'locked-out', prop, fault: before.fault.code }]);
  turn.answer();
}

function alsoByHand(turn: Turn, prop: string, before: Lockout, why: string): void {
  turn.setProp(prop, { lockout: { ...before, n: turn.event.n, acknowledged: false, hand: why } });
  turn.show.troubleN = turn.event.n;
  turn.record({ code: 'lockout-raised', fault: { code: 'by-hand', prop, at: turn.at, why } }, { prop });
  keptOrStopped(turn);
}

export function acknowledged(turn: Turn, prop: string, by: string): void {
  const lockout = turn.prop(prop).lockout;
  if (!lockout) return turn.answer([{ code: 'not-locked-out', prop }]);
  if (!lockout.acknowledged) {
    turn.setProp(prop, { lockout: { ...lockout, acknowledged: true } });
    turn.record({ code: 'acknowledged', by, fault: lockout.fault.code }, { prop });
  }
  turn.answer();
}
