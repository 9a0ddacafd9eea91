import type { TankLevel } from '../yard/air.ts';
import type { Expects } from '../yard/timeline.ts';
import type { Scene, Yard } from '../yard/types.ts';
import { type Cast, castProblem, castsOf, type PlanScene, type Problem } from './problem.ts';
import { Schedule } from './schedule.ts';
import type { NightTimes, PlannedStart } from './tonight.ts';

/** The night as it stands. All instants are ms since 1970 on the wall clock. Plain data, so that it can be recorded. */
export interface NightState {
  readonly nowMs: number;
  /** Runs under way, planned or not, with what is left of them. */
  readonly running: readonly RunningRun[];
  /** The planned runs that have neither started nor been skipped. */
  readonly remaining: readonly RemainingRun[];
  /** Scenes that can't run for now (a prop locked out, silent, lost): their runs stay where they are, without room. */
  readonly shutScenes: readonly string[];
  /** Until when each prop rests after a run that is over; what is not named is free. */
  readonly propRests: Readonly<Record<string, number>>;
  /** Until when each scene rests after a run that is over. */
  readonly sceneRests: Readonly<Record<string, number>>;
  /** For each zone, when the gaps of runs that are over end. */
  readonly zoneGaps: Readonly<Record<string, readonly number[]>>;
  /** What each prop with a duty has moved within its `over`, from–to, finished moves only. */
  readonly moved: Readonly<Record<string, readonly (readonly [number, number])[]>>;
  /** Each tank's believed content. */
  readonly tanks: Readonly<Record<string, TankLevel>>;
  /** The end sensor that each prop makes; null where it stands away from its ends. Unknown props are not named. */
  readonly at: Readonly<Record<string, string | null>>;
  /** Measured durations, ms by `prop.move`. */
  readonly expects?: Expects;
}

export interface RunningRun {
  readonly scene: string;
  readonly startMs: number;
  /** When it is expected to let go of its props. */
  readonly endMs: number;
  /** Moves not yet ended, those under way among them, by their expected times. */
  readonly moves: readonly { prop: string; move: string; startMs: number; endMs: number }[];
}

export interface RemainingRun extends PlannedStart {
  /** The start in the plan as first drawn up, where a mend has moved it since: shifts are counted from there. */
  readonly drawnMs?: number;
}

export interface Mended {
  /** What is left of the plan, in order of start: for the event `planMended`. */
  readonly runs: PlannedStart[];
  /** Runs that start later than before. */
  readonly shifted: number;
  /** Runs that no longer fit, with the rule that stands in the way at their time. */
  readonly dropped: {
    readonly id: string;
    readonly scene: string;
    readonly startMs: number;
    readonly rule: string;
  }[];
}

/**
 * Mends the rest of the plan with the least change: every run that still fits stays at its time; one that does not
 * starts as soon after it as it fits, by half its `every` at most (10 s at least), and is else dropped.
 * Same state, same result. Nothing is moved to an earlier time and no run is added.
 */
export function mendTonight(yard: Yard, night: NightTimes, state: NightState): Mended {
  const mending = new Mending(yard, night, state);
  const remaining = [...state.remaining].sort((a, b) => a.startMs - b.startMs);
  const shut = new Set(state.shutScenes);
  const runs: PlannedStart[] = [];
  const displaced: RemainingRun[] = [];
  for (const run of remaining) {
    const kept = shut.has(run.scene) || mending.keep(run);
    if (kept) runs.push({ id: run.id, scene: run.scene, startMs: run.startMs });
    else displaced.push(run);
  }
  const dropped: Mended['dropped'] = [];
  let shifted = 0;
  for (const run of displaced) {
    const startMs = mending.shift(run);
    if (startMs === null)
      dropped.push({ id: run.id, scene: run.scene, startMs: run.startMs, rule: mending.ruleAgainst(run) });
    else {
      shifted += 1;
      runs.push({ id: run.id, scene: run.scene, startMs });
    }
  }
  runs.sort((a, b) => a.startMs - b.startMs);
  return { runs, shifted, dropped };
}

/** How much later than planned a run may start. */
export function lateAllowedMs(scene: Scene): number {
  return Math.max(10_000, (scene.everyMs ?? 0) / 2);
}

class Mending {
  private readonly yard: Yard;
  private readonly openMs: number;
  private readonly nowMs: number;
  private readonly schedule: Schedule;
  private readonly scenes = new Map<string, PlanScene>();
  /** Earliest next start of each scene by what is over or under way, ms from open. */
  private readonly freeMs = new Map<string, number>();

  constructor(yard: Yard, night: NightTimes, state: NightState) {
    this.yard = yard;
    this.openMs = night.openMs;
    this.nowMs = Math.max(0, state.nowMs - night.openMs);
    const wanted = new Set(state.remaining.map((r) => r.scene));
    const planned = [...yard.scenes.values()].filter((s) => wanted.has(s.id));
    const underWay = state.running.map((run) => this.castOf(run));
    const problem = castProblem(yard, night, [
      ...castsOf(yard, planned, state.expects ?? {}),
      ...underWay.map((u) => u.cast),
    ]);
    for (const s of problem.scenes.slice(0, planned.length)) this.scenes.set(s.id, s);
    this.schedule = new Schedule(problem, {
      tanks: new Map(Object.entries(state.tanks).map(([id, level]) => [id, this.levelOf(level)])),
      at: new Map(Object.entries(state.at)),
    });
    this.remember(state);
    underWay.forEach(({ atMs }, i) => {
      this.schedule.add(this.leftOf(problem, planned.length + i, atMs), atMs);
    });
    for (const scene of planned) this.freeMs.set(scene.id, this.freeFrom(scene, state));
  }

  /** Keeps the run at its time if it still fits there. */
  keep(run: RemainingRun): boolean {
    const scene = this.scenes.get(run.scene)!;
    const at = Math.round(run.startMs - this.openMs);
    if (at < this.soonest(run) || !this.schedule.fits(scene, at)) return false;
    this.schedule.add(scene, at);
    return true;
  }

  /** The soonest start after its time that fits, within what it may be late; null if there is none. */
  shift(run: RemainingRun): number | null {
    const scene = this.scenes.get(run.scene)!;
    const drawn = (run.drawnMs ?? run.startMs) - this.openMs;
    const until = drawn + lateAllowedMs(this.yard.scenes.get(run.scene)!);
    const at = this.schedule.earliest(scene, Math.max(run.startMs - this.openMs, this.soonest(run)), until);
    if (at === Infinity) return null;
    this.schedule.add(scene, at);
    return this.openMs + at;
  }

  ruleAgainst(run: RemainingRun): string {
    const scene = this.scenes.get(run.scene)!;
    const at = Math.max(Math.round(run.startMs - this.openMs), Math.ceil(this.soonest(run)));
    const rule = this.schedule.blockers(scene, at)[0];
    return rule ? `${rule.rule} ${rule.id}` : 'too late';
  }

  private soonest(run: RemainingRun): number {
    return Math.max(this.nowMs, this.freeMs.get(run.scene)!);
  }

  /** A run under way as a scene of its own: its moves as they really fall, from its start. */
  private castOf(run: RunningRun): { cast: Cast; atMs: number } {
    const scene = this.yard.scenes.get(run.scene)!;
    const moves = run.moves.map((m, step) => ({
      step,
      prop: m.prop,
      move: m.move,
      startMs: Math.round(m.startMs - run.startMs),
      endMs: Math.round(m.endMs - run.startMs),
    }));
    const lengthMs = Math.max(0, Math.round(run.endMs - run.startMs));
    return { cast: { scene, moves, lengthMs }, atMs: Math.round(run.startMs - this.openMs) };
  }

  /** What a run under way still takes: air drawn before now is already gone from the tank. */
  private leftOf(problem: Problem, index: number, atMs: number): PlanScene {
    const scene = problem.scenes[index]!;
    const draws = scene.draws.flatMap((d) => {
      const left = d.at
        .map((at, i) => ({ at, litres: d.litres[i]! }))
        .filter((x) => atMs + x.at > this.nowMs);
      if (left.length === 0) return [];
      return [{ tank: d.tank, at: left.map((x) => x.at), litres: left.map((x) => x.litres) }];
    });
    return { ...scene, draws };
  }

  private levelOf(level: TankLevel): TankLevel {
    return { ...level, atMs: level.atMs - this.openMs };
  }

  private remember(state: NightState): void {
    for (const [zone, ends] of Object.entries(state.zoneGaps))
      for (const end of ends) this.schedule.fillZone(zone, Math.ceil(end - this.openMs));
    for (const [prop, spans] of Object.entries(state.moved))
      for (const [from, to] of spans) this.schedule.moved(prop, from - this.openMs, to - this.openMs);
  }

  private freeFrom(scene: Scene, state: NightState): number {
    const until = (rests: Readonly<Record<string, number>>, id: string) =>
      Object.hasOwn(rests, id) ? rests[id]! : -Infinity;
    const ends = [until(state.sceneRests, scene.id), ...scene.props.map((p) => until(state.propRests, p))];
    for (const run of state.running) {
      if (run.scene === scene.id) ends.push(run.endMs + scene.restMs);
      for (const p of this.yard.scenes.get(run.scene)!.props)
        if (scene.props.includes(p)) ends.push(run.endMs + this.yard.props.get(p)!.restMs);
    }
    return Math.max(0, Math.ceil(Math.max(...ends) - this.openMs));
  }
}
