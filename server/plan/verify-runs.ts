import type { Move, Yard } from '../yard/types.ts';
import type { PlanRun, TonightPlan } from './tonight.ts';

/** A rule broken: which, on what, when (s from open), by which runs, in words. */
export interface Breach {
  readonly rule: string;
  readonly id: string;
  readonly at: number;
  readonly runs: readonly string[];
  readonly text: string;
}

/** A run and a move as the plan states them, ms from open. */
export interface SeenRun {
  readonly id: string;
  readonly scene: string;
  readonly start: number;
  readonly end: number;
  readonly moves: readonly SeenMove[];
}

export interface SeenMove {
  readonly run: string;
  readonly prop: string;
  readonly move: string;
  readonly start: number;
  readonly end: number;
}

export function ms(seconds: number): number {
  return Math.round(seconds * 1000);
}

export function moveIn(yard: Yard, m: { readonly prop: string; readonly move: string }): Move {
  return yard.props.get(m.prop)!.moves.get(m.move)!;
}

/** The plan's runs, and where their ids, order or steps are not what the file says they must be. */
export function readRuns(yard: Yard, plan: TonightPlan): { runs: SeenRun[]; breaches: Breach[] } {
  const breaches: Breach[] = [];
  const runs: SeenRun[] = [];
  const numbers = new Map<string, number>();
  let before = -Infinity;
  for (const run of plan.runs) {
    const wrong = (text: string) =>
      breaches.push({ rule: 'shape', id: run.scene, at: run.start, runs: [run.id], text });
    if (!yard.scenes.has(run.scene)) {
      wrong('no such scene');
      continue;
    }
    const number = (numbers.get(run.scene) ?? 0) + 1;
    numbers.set(run.scene, number);
    if (run.id !== `${plan.night}.${run.scene}.${number}`) wrong(`id ${run.id} is not number ${number}`);
    if (run.start < before) wrong('runs are not in order of start');
    before = run.start;
    for (const seconds of [run.start, run.end, ...run.steps.flatMap((s) => [s.start, s.end])])
      if (Math.abs(seconds * 1000 - ms(seconds)) > 1e-6) wrong(`${seconds} s is finer than a millisecond`);
    const due = dueSteps(yard, plan, run);
    const same = (a: number, b: number) => Math.abs(a - b) <= 1;
    const asDue =
      due.steps.length === run.steps.length &&
      same(ms(run.end), due.end) &&
      due.steps.every((d, k) => {
        const s = run.steps[k]!;
        return s.prop === d.prop && s.move === d.move && same(ms(s.start), d.start) && same(ms(s.end), d.end);
      });
    if (!asDue) wrong('its steps are not those of the scene at their expected times');
    const known = run.steps.filter((s) => yard.props.get(s.prop)?.moves.has(s.move));
    runs.push({
      id: run.id,
      scene: run.scene,
      start: ms(run.start),
      end: ms(run.end),
      moves: known.map((s) => ({
        run: run.id,
        prop: s.prop,
        move: s.move,
        start: ms(s.start),
        end: ms(s.end),
      })),
    });
  }
  return { runs, breaches };
}

/** When the scene's moves fall if it starts when the run says: one after the other, together, with waits. */
function dueSteps(yard: Yard, plan: TonightPlan, run: PlanRun): { steps: SeenMove[]; end: number } {
  const steps: SeenMove[] = [];
  let at = run.start * 1000;
  for (const step of yard.scenes.get(run.scene)!.steps) {
    if (step.kind === 'wait') {
      at += step.ms;
      continue;
    }
    const moves = step.kind === 'together' ? step.moves : [step];
    const lengths = moves.map((m) => lengthMs(yard, plan, m.prop, m.move));
    moves.forEach((m, k) => {
      steps.push({ run: run.id, prop: m.prop, move: m.move, start: at, end: at + lengths[k]! });
    });
    at += Math.max(0, ...lengths);
  }
  return { steps, end: at };
}

function lengthMs(yard: Yard, plan: TonightPlan, prop: string, move: string): number {
  const m = moveIn(yard, { prop, move });
  if (m.lastsMs !== null) return m.lastsMs;
  const key = `${prop}.${move}`;
  return Object.hasOwn(plan.expects, key) ? plan.expects[key]! * 1000 : m.usualMs;
}
