import { timelineOf } from '../yard/timeline.ts';
import type { Run, Show } from './show.ts';
import { expectsOf } from './travel.ts';

/** A move of a run that is still to come, at its expected times on the desk's axis. */
export interface MoveAhead {
  readonly prop: string;
  readonly move: string;
  readonly startMs: number;
  readonly endMs: number;
}

/** The moves that a run has not sent yet, at their expected times. A run that is ending sends none but its tidying. */
export function movesAhead(show: Show, run: Run, at: number): MoveAhead[] {
  if (run.state === 'failing' || run.state === 'tidying') return [];
  const line = timelineOf(show.yard, show.yard.scenes.get(run.scene)!, expectsOf(show));
  const ahead = line.moves.filter((m) => m.step >= run.step);
  if (ahead.length === 0) return [];
  const startsIn = Math.max(0, expectedRest(show, run, at));
  const first = ahead[0]!.startMs;
  return ahead.map(({ prop, move, startMs, endMs }) => {
    const start = at + startsIn + (startMs - first);
    return { prop, move, startMs: start, endMs: start + (endMs - startMs) };
  });
}

/** When a run should let go of its props, on the desk's axis: its last move ended, and its last waits over. */
export function runEndsAt(show: Show, run: Run, at: number): number {
  const ahead = movesAhead(show, run, at);
  let end = at + Math.max(0, expectedRest(show, run, at));
  for (const m of ahead) end = Math.max(end, m.endMs);
  for (const prop of show.yard.scenes.get(run.scene)!.props) {
    const f = show.props[prop]!.flight;
    if (f && !f.lost && show.props[prop]!.heldBy === run.id)
      end = Math.max(end, (f.countFrom ?? f.sentAt) + f.expectMs);
  }
  return end;
}

/** Expected ms from now until a run's next unsent move: what its present step still takes, and waits between. */
function expectedRest(show: Show, run: Run, at: number): number {
  let rest = 0;
  const steps = show.yard.scenes.get(run.scene)!.steps;
  let pos = run.pos;
  if (run.begun) {
    for (const prop of run.with) {
      const f = show.props[prop]!.flight;
      if (f && f.run === run.id) rest = Math.max(rest, (f.countFrom ?? f.sentAt) + f.expectMs - at);
    }
    const step = steps[pos];
    if (step?.kind === 'wait') rest = Math.max(rest, run.since + step.ms - at);
    pos += 1;
  }
  for (; pos < steps.length; pos++) {
    const step = steps[pos]!;
    if (step.kind !== 'wait') break;
    rest += step.ms;
  }
  return rest;
}
