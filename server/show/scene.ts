import type { Scene, Step } from '../yard/types.ts';
import {
  againAfterAgainst,
  inHours,
  movesAgainst,
  sceneAgainst,
  tooSoonAgainst,
  type Wanted,
} from './admission.ts';
import { order } from './flight.ts';
import { mustHome, propOf } from './interlock.ts';
import type { Origin, Reason } from './reasons.ts';
import { endRun, failRun, setPlanned } from './run-end.ts';
import { usedIn, withUsed } from './run-names.ts';
import { type Run, wallOf } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * A run of a scene, from its start to letting go:
 *
 *   homing ──► running ──► (done)
 *      │          │ a fault, a refusal, 10 s of waiting
 *      └──────────┴──► failing ── its moves have ended ──► tidying ──► (failed, abandoned)
 *
 * A step starts when the one before it has ended. A later step whose need or limit is not met waits up to 10 s.
 */

export const STEP_PATIENCE_MS = 10_000;

/** What stands against a start of this scene now, by whom it is wanted. */
export function startAgainst(turn: Turn, scene: Scene, origin: Origin): Reason | null {
  const { show, at } = turn;
  if (origin === 'notice') {
    // nothing is homed before the notice is over
    const away = scene.props.find((prop) => mustHome(show, prop, at));
    if (away) return { code: 'position-unknown', prop: away };
  } else if (show.mode !== 'open') return { code: 'mode', mode: show.mode };
  // the clock may have been set back to before the hour at which it opened
  else if (!inHours(show, at)) return { code: 'outside-hours' };
  return (origin === 'trigger' ? againAfterAgainst(show, scene, at) : null) ?? sceneAgainst(show, scene, at);
}

/** Starts a run that nothing stands against. */
export function startRun(turn: Turn, scene: Scene, origin: Origin, id: string): void {
  const { at } = turn;
  const run: Run = {
    id,
    scene: scene.id,
    origin,
    startedAt: at,
    state: 'homing',
    pos: 0,
    step: 0,
    since: at,
    begun: false,
    with: [],
    toHome: scene.props.filter((p) => mustHome(turn.show, p, at)),
    tidyPos: 0,
    waitsFor: null,
    ends: null,
    moved: [],
    journeys: [],
  };
  turn.show.runs = [...turn.show.runs, run];
  for (const prop of scene.props) turn.setProp(prop, { heldBy: id });
  turn.setScene(scene.id, { lastStartAt: at });
  setPlanned(turn, id, { state: 'running', actualStartMs: wallOf(turn.show, at) });
  turn.record({ code: 'run-started', origin }, { scene: scene.id, run: id });
  advanceRun(turn, id);
}

/** Takes a run as far as it goes now. */
export function advanceRun(turn: Turn, id: string): void {
  for (let run = turn.run(id); run; run = turn.run(id)) {
    if (!advanceOnce(turn, run)) return;
  }
}

/** True where something was done and it is worth looking again. */
function advanceOnce(turn: Turn, run: Run): boolean {
  switch (run.state) {
    case 'homing':
      return homeFirst(turn, run);
    case 'running':
      return runStep(turn, run);
    case 'failing':
      return waitForRest(turn, run, () => turn.setRun(run.id, { state: 'tidying' }));
    case 'tidying':
      return tidy(turn, run);
  }
}

/** Props that must be brought home are, one after another, before the first step. */
function homeFirst(turn: Turn, run: Run): boolean {
  const [prop, ...rest] = run.toHome;
  if (prop === undefined) {
    turn.setRun(run.id, { state: 'running', since: turn.at, begun: false, waitsFor: null });
    return true;
  }
  if (turn.prop(prop).flight) return false;
  if (!mustHome(turn.show, prop, turn.at)) {
    turn.setRun(run.id, { toHome: rest, since: turn.at });
    return true;
  }
  const move = propOf(turn.show, prop).homeMove!;
  const reason = movesAgainst(turn.show, [{ prop, move }], turn.at, 'homing');
  if (reason) return waitOrAbandon(turn, run, reason);
  orderHome(turn, prop);
  return false;
}

/** Sends a prop home under a run name of its own. */
export function orderHome(turn: Turn, prop: string): void {
  const n = turn.show.counters.home + 1;
  turn.show.counters = { ...turn.show.counters, home: n };
  const move = propOf(turn.show, prop).homeMove!;
  order(turn, { prop, move, run: `home.${turn.show.desk.epoch}.${n}`, step: 0, origin: 'homing' });
}

const movesOf = (step: Step): readonly Wanted[] =>
  step.kind === 'wait' ? [] : step.kind === 'move' ? [step] : step.moves;

function runStep(turn: Turn, run: Run): boolean {
  const step = turn.yard.scenes.get(run.scene)!.steps[run.pos];
  if (!step)
    return waitForRest(turn, run, () =>
      endRun(turn, run.id, 'done', { code: 'run-done', tookMs: turn.at - run.startedAt }),
    );
  if (step.kind === 'wait') {
    if (turn.at < run.since + step.ms) {
      if (!run.begun) turn.setRun(run.id, { begun: true, with: [] });
      return false;
    }
    return nextStep(turn, run);
  }
  if (run.begun) {
    const ended = run.with.every((prop) => {
      const flight = turn.prop(prop).flight;
      return !flight || flight.run !== run.id || flight.arrivedAt !== null;
    });
    return ended && nextStep(turn, run);
  }
  const moves = movesOf(step);
  const reason = movesAgainst(turn.show, moves, turn.at);
  if (reason) return waitOrAbandon(turn, run, reason);
  for (const [i, m] of moves.entries())
    order(turn, { ...m, run: run.id, step: run.step + i, origin: run.origin });
  turn.setRun(run.id, {
    begun: true,
    waitsFor: null,
    step: run.step + moves.length,
    with: moves.map((m) => m.prop),
  });
  return false;
}

function nextStep(turn: Turn, run: Run): boolean {
  turn.setRun(run.id, { pos: run.pos + 1, since: turn.at, begun: false, with: [], waitsFor: null });
  return true;
}

/** A step waits for its need or limit, saying for what; after 10 s the run is abandoned, which is no fault. */
function waitOrAbandon(turn: Turn, run: Run, reason: Reason): boolean {
  if (turn.at >= run.since + STEP_PATIENCE_MS) {
    failRun(turn, run.id, 'abandoned', { code: 'run-abandoned', for: reason }, null);
    return true;
  }
  if (run.waitsFor === null || run.waitsFor.code !== reason.code) turn.setRun(run.id, { waitsFor: reason });
  return false;
}

/** Goes on once all it holds is at rest. What a lost link left moving is not waited for. */
function waitForRest(turn: Turn, run: Run, then: () => void): boolean {
  const moving = turn.yard.scenes.get(run.scene)!.props.some((prop) => {
    const p = turn.prop(prop);
    return p.heldBy === run.id && p.flight !== null && !p.flight.lost;
  });
  if (moving) return false;
  then();
  return true;
}

function tidy(turn: Turn, run: Run): boolean {
  const list = turn.yard.scenes.get(run.scene)!.ifItFails;
  const last = run.tidyPos > 0 ? list[run.tidyPos - 1]! : null;
  const flight = last ? turn.prop(last.prop).flight : null;
  if (flight && flight.run === run.id && !flight.lost) return false;
  const m = list[run.tidyPos];
  if (!m) {
    const ends = run.ends!;
    endRun(turn, run.id, ends.as, ends.why);
    return true;
  }
  const home = propOf(turn.show, m.prop).homeMove === m.move;
  const soon = mustHome(turn.show, m.prop, turn.at) ? tooSoonAgainst(turn.show, m.prop, turn.at) : null;
  const reason = soon ?? movesAgainst(turn.show, [m], turn.at, home ? 'homing' : 'run');
  if (reason) {
    turn.record(
      { code: 'tidy-passed-over', ...m, for: reason },
      { prop: m.prop, scene: run.scene, run: run.id },
    );
    turn.setRun(run.id, { tidyPos: run.tidyPos + 1 });
    return true;
  }
  order(turn, { ...m, run: run.id, step: run.step, origin: home ? 'homing' : run.origin });
  turn.setRun(run.id, { tidyPos: run.tidyPos + 1, step: run.step + 1 });
  return true;
}

/** A name for a run that is on no plan: numbered on from the plan's. */
export function newRunId(turn: Turn, scene: string): string {
  const night = turn.show.night?.date ?? 'no-night';
  const { used } = turn.show.scenes[scene]!;
  const n = usedIn(used, night) + 1;
  turn.setScene(scene, { used: withUsed(used, night, n) });
  return `${night}.${scene}.${n}`;
}

export function sceneAsked(turn: Turn, id: string): void {
  const scene = turn.yard.scenes.get(id)!;
  const reason = startAgainst(turn, scene, 'hand');
  if (reason) return turn.answer([reason]);
  startRun(turn, scene, 'hand', newRunId(turn, id));
  turn.mend();
  turn.answer();
}

/** A guest set something off: what can't start at once is refused with why, and never waits. */
export function triggered(turn: Turn, prop: string, sensor: string): void {
  for (const scene of turn.yard.scenes.values()) {
    if (scene.on?.prop !== prop || scene.on.sensor !== sensor) continue;
    const reason = startAgainst(turn, scene, 'trigger');
    if (reason) {
      turn.record({ code: 'trigger-refused', prop, sensor, for: reason }, { prop, scene: scene.id });
      continue;
    }
    startRun(turn, scene, 'trigger', newRunId(turn, scene.id));
    turn.mend();
  }
}
