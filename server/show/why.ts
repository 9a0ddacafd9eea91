import type { PropStateName } from '../picture.ts';
import { homingWaits } from './homing.ts';
import { endMade, isPropLive, needAgainst, propOf } from './interlock.ts';
import type { Reason } from './reasons.ts';
import { STEP_PATIENCE_MS } from './scene.ts';
import { NEVER, type Run, type Show } from './show.ts';

/** What a prop does or waits for at this moment: its state in one word, and why as a reason. */
export function whyOf(show: Show, id: string, at: number): { state: PropStateName; why: Reason } {
  const p = show.props[id]!;
  const link = show.controllers[propOf(show, id).controller]!;
  if (p.lockout)
    return { state: 'locked-out', why: { code: 'locked-out', prop: id, fault: p.lockout.fault.code } };
  if (!isPropLive(show, id, at))
    return {
      state: 'silent',
      why: link.heardAt === NEVER ? { code: 'never-heard', prop: id } : { code: 'silent', prop: id },
    };
  if (p.flight) return { state: 'moving', why: movingWhy(show, id) };
  if (show.stop.latched)
    return { state: p.known ? 'ready' : 'unknown', why: { code: 'stopped', stop: show.stop.n } };
  const run = p.heldBy ? show.runs.find((r) => r.id === p.heldBy) : undefined;
  if (run) return { state: p.known ? 'ready' : 'unknown', why: heldWhy(show, id, run, at) };
  if (show.homing?.waiting.includes(id))
    return { state: 'unknown', why: { code: 'waits-to-home', prop: id, for: homingWaits({ show }, id, at) } };
  if (!p.known) {
    const why: Reason = p.setAside
      ? { code: 'set-aside', prop: id, why: p.setAside }
      : { code: 'position-unknown', prop: id };
    return { state: 'unknown', why };
  }
  if (p.restUntil > at)
    return { state: 'resting', why: { code: 'rests', prop: id, forMs: p.restUntil - at } };
  if (p.setAside) return { state: 'unknown', why: { code: 'set-aside', prop: id, why: p.setAside } };
  return { state: 'ready', why: { code: 'at-rest', prop: id, at: endMade(show, id, at) } };
}

function movingWhy(show: Show, id: string): Reason {
  const f = show.props[id]!.flight!;
  if (f.halting) return { code: 'halting', prop: id };
  if (f.countFrom === null) return { code: 'asked-to-move', prop: id, move: f.move };
  if (f.origin === 'homing') return { code: 'homing', prop: id };
  const { limitMs } = propOf(show, id).moves.get(f.move)!;
  return { code: 'moves-now', prop: id, move: f.move, sinceMs: f.countFrom, limitMs };
}

/** Held by a run and still: what its next move waits for, with how long that has taken and may take. */
function heldWhy(show: Show, id: string, run: Run, at: number): Reason {
  const scene = show.yard.scenes.get(run.scene)!;
  const idle: Reason = { code: 'waits-for-step', prop: id, scene: scene.id };
  if (run.state !== 'running') return idle;
  for (const step of scene.steps.slice(run.begun ? run.pos + 1 : run.pos)) {
    if (step.kind === 'wait') continue;
    const mine = (step.kind === 'move' ? [step] : step.moves).find((m) => m.prop === id);
    if (!mine) continue;
    const need = needAgainst(show, id, mine.move, at) ?? run.waitsFor;
    if (!need) return idle;
    const other = need.code === 'need' ? show.props[need.need.prop]!.flight : null;
    if (other && need.code === 'need') {
      const { limitMs } = propOf(show, need.need.prop).moves.get(other.move)!;
      const sinceMs = other.countFrom ?? other.sentAt;
      return { code: 'waits', prop: id, move: mine.move, sinceMs, limitMs, for: need };
    }
    if (run.begun) return idle;
    return {
      code: 'waits',
      prop: id,
      move: mine.move,
      sinceMs: run.since,
      limitMs: STEP_PATIENCE_MS,
      for: need,
    };
  }
  return idle;
}
