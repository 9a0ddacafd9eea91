import type { TankLevel } from '../yard/air.ts';
import { AirBook } from './airbook.ts';
import { DutyBook, firstAfter } from './duty.ts';
import type { PlanScene, Problem } from './problem.ts';
import { type Meter, Profile } from './profile.ts';
import type { BindingRule } from './tonight.ts';
import { Whereabouts } from './whereabouts.ts';

export interface RuleName {
  readonly rule: BindingRule;
  readonly id: string;
}

/** Where a night under way stands, times in ms from open. */
export interface Begin {
  readonly tanks: ReadonlyMap<string, TankLevel>;
  /** The end sensor that each prop now makes; null where it is away from its ends. */
  readonly at: ReadonlyMap<string, string | null>;
}

/**
 * The runs placed so far, and every rule's account of them. Only what fits is ever in it: `add` trusts that the
 * caller asked first. All times are whole ms from open.
 */
export class Schedule implements Meter {
  readonly problem: Problem;
  /** Starts by scene, ascending. */
  readonly starts: number[][];
  work = 0;
  private readonly spacing: number[];
  private readonly profiles: Profile[];
  private readonly duties: DutyBook[];
  private readonly air: AirBook[];
  private readonly places: Whereabouts[];

  /** @param begin where the night stands, if it is under way; else props are at home and tanks full */
  constructor(problem: Problem, begin?: Begin) {
    this.problem = problem;
    this.starts = problem.scenes.map(() => []);
    this.spacing = problem.scenes.map((s) => s.spacingMs);
    this.profiles = problem.shared.map((r) => new Profile(r.room, this));
    this.duties = problem.duties.map((d) => new DutyBook(d.onMs, d.overMs, this));
    this.air = problem.tanks.map((tank) => new AirBook(tank, this, begin?.tanks.get(tank.id)));
    this.places = problem.watched.map(
      (w) => new Whereabouts(begin ? (begin.at.get(w.prop) ?? null) : w.home),
    );
  }

  /** Earliest start of the scene in [from, to] that keeps every rule; Infinity if none was found. */
  earliest(scene: PlanScene, from: number, to: number): number {
    if (scene.never) return Infinity;
    const until = Math.min(to, scene.lastMs);
    const { uses } = scene;
    let t = Math.max(0, Math.ceil(from));
    for (;;) {
      if (!(t <= until)) return Infinity;
      this.work += 1;
      let next = this.earliestBySelf(scene, t);
      for (let u = 0; next === t && u < uses.length; u++) {
        next = this.profiles[uses[u]!.shared]!.earliest(t, uses[u]!, until);
      }
      if (next === t) next = this.retryByRest(scene, t, 1);
      if (next === t) return t;
      t = next;
    }
  }

  /** Latest start of the scene in [from, to] that keeps every rule; -Infinity if none was found. */
  latest(scene: PlanScene, from: number, to: number): number {
    if (scene.never) return -Infinity;
    const first = Math.max(0, from);
    const { uses } = scene;
    let t = Math.min(Math.floor(to), scene.lastMs);
    for (;;) {
      if (!(t >= first)) return -Infinity;
      this.work += 1;
      let next = this.latestBySelf(scene, t);
      for (let u = 0; next === t && u < uses.length; u++) {
        next = this.profiles[uses[u]!.shared]!.latest(t, uses[u]!, first);
      }
      if (next === t) next = this.retryByRest(scene, t, -1);
      if (next === t) return t;
      t = next;
    }
  }

  fits(scene: PlanScene, t: number): boolean {
    return this.earliest(scene, t, t) === t;
  }

  add(scene: PlanScene, t: number): void {
    const starts = this.starts[scene.index]!;
    starts.splice(firstAfter(starts, t), 0, t);
    for (const use of scene.uses) this.profiles[use.shared]!.add(t, use);
    for (const d of scene.duties) this.duties[d.duty]!.add(t, d.from, d.to);
    for (const d of scene.draws) this.air[d.tank]!.add(t, d.at, d.litres);
    for (const s of scene.stands) this.places[s.watched]!.add(t, s.asks, s.travel);
  }

  /** Takes a run away. False, with nothing changed, where what is left would break a rule without it. */
  remove(scene: PlanScene, t: number): boolean {
    let drawn = 0;
    let stood = 0;
    for (const d of scene.draws) {
      if (!this.air[d.tank]!.remove(t, d.at, d.litres)) break;
      drawn += 1;
    }
    if (drawn === scene.draws.length)
      for (const s of scene.stands) {
        if (!this.places[s.watched]!.remove(t, s.asks, s.travel)) break;
        stood += 1;
      }
    if (drawn < scene.draws.length || stood < scene.stands.length) {
      for (const d of scene.draws.slice(0, drawn)) this.air[d.tank]!.add(t, d.at, d.litres);
      for (const s of scene.stands.slice(0, stood)) this.places[s.watched]!.add(t, s.asks, s.travel);
      return false;
    }
    const starts = this.starts[scene.index]!;
    starts.splice(firstAfter(starts, t) - 1, 1);
    for (const use of scene.uses) this.profiles[use.shared]!.remove(t, use);
    for (const d of scene.duties) this.duties[d.duty]!.remove(t, d.from);
    return true;
  }

  /**
   * Leaves a rule out of account, to see what it costs, or takes it in again. Runs that break it are to be taken away
   * before that.
   */
  leaveOut({ rule, id }: RuleName, out = true): void {
    const { scenes, shared, duties, tanks } = this.problem;
    for (const s of scenes)
      if (s.spacingRule.rule === rule && s.spacingRule.id === id)
        this.spacing[s.index] = out ? Math.max(1, s.lengthMs) : s.spacingMs;
    shared.forEach((r, k) => {
      if (r.rule === rule && r.id === id) this.profiles[k]!.room = out ? Infinity : r.room;
    });
    duties.forEach((d, k) => {
      if (rule === 'duty' && d.prop === id) this.duties[k]!.onMs = out ? Infinity : d.onMs;
    });
    tanks.forEach((tank, k) => {
      if (rule === 'tank' && tank.id === id) this.air[k]!.bind(!out);
    });
  }

  /** Counts a run of a zone that is over but whose gap still fills it until then. */
  fillZone(zone: string, untilMs: number): void {
    const shared = this.problem.shared.findIndex((r) => r.rule === 'zone' && r.id === zone);
    if (shared >= 0 && untilMs > 0)
      this.profiles[shared]!.add(0, { shared, from: [0], to: [untilMs], amount: [1] });
  }

  /** Counts what a prop has moved before. */
  moved(prop: string, fromMs: number, toMs: number): void {
    const duty = this.problem.duties.findIndex((d) => d.prop === prop);
    if (duty >= 0) this.duties[duty]!.add(0, [fromMs], [toMs]);
  }

  /** Every rule that keeps the scene from starting at `t`. */
  blockers(scene: PlanScene, t: number): RuleName[] {
    const { shared, duties, tanks, watched } = this.problem;
    const found: RuleName[] = [];
    if (scene.never || this.earliestBySelf(scene, t) !== t) found.push(scene.spacingRule);
    if (t > scene.lastMs) found.push({ rule: 'quiet', id: 'quiet' });
    for (const use of scene.uses)
      if (!this.profiles[use.shared]!.fits(t, use))
        found.push({ rule: shared[use.shared]!.rule, id: shared[use.shared]!.id });
    for (const d of scene.duties)
      if (this.duties[d.duty]!.shift(t, d.from, d.to, 1) > 0)
        found.push({ rule: 'duty', id: duties[d.duty]!.prop });
    for (const d of scene.draws)
      if (this.air[d.tank]!.tryAt(t, d.at, d.litres) !== t)
        found.push({ rule: 'tank', id: tanks[d.tank]!.id });
    for (const s of scene.stands)
      if (this.places[s.watched]!.tryAt(t, s.asks, s.travel) !== t)
        found.push({ rule: 'prop', id: watched[s.watched]!.prop });
    return found;
  }

  private earliestBySelf(scene: PlanScene, from: number): number {
    const starts = this.starts[scene.index]!;
    const spacing = this.spacing[scene.index]!;
    let t = from;
    for (let k = firstAfter(starts, t - spacing); k < starts.length && starts[k]! < t + spacing; k++)
      t = starts[k]! + spacing;
    return t;
  }

  private latestBySelf(scene: PlanScene, from: number): number {
    const starts = this.starts[scene.index]!;
    const spacing = this.spacing[scene.index]!;
    let t = from;
    for (let k = firstAfter(starts, t + spacing - 1) - 1; k >= 0 && starts[k]! > t - spacing; k--)
      t = starts[k]! - spacing;
    return t;
  }

  /** Duty, air and needs: `t` where all are met, else when to try again. */
  private retryByRest(scene: PlanScene, t: number, way: 1 | -1): number {
    for (const d of scene.duties) {
      const by = this.duties[d.duty]!.shift(t, d.from, d.to, way);
      if (by > 0) return t + way * by;
    }
    for (const d of scene.draws) {
      const next = this.air[d.tank]!.tryAt(t, d.at, d.litres);
      if (next !== t) return again(t, next, way);
    }
    for (const s of scene.stands) {
      this.work += 2;
      const next = this.places[s.watched]!.tryAt(t, s.asks, s.travel);
      if (next !== t) return again(t, next, way);
    }
    return t;
  }
}

/** A schedule of the given starts. In order of time, for every book is quickest at its end. */
export function scheduleOf(problem: Problem, starts: readonly (readonly number[])[]): Schedule {
  const schedule = new Schedule(problem);
  const runs = problem.scenes.flatMap((scene) => starts[scene.index]!.map((at) => ({ scene, at })));
  for (const { scene, at } of runs.sort((a, b) => a.at - b.at)) schedule.add(scene, at);
  return schedule;
}

/** How far back to try again at most, where a rule says only how far on. */
const STRIDE_MS = 10_000;

function again(t: number, next: number, way: 1 | -1): number {
  const by = Math.max(1, next - t);
  return way > 0 ? t + by : t - Math.min(STRIDE_MS, by);
}
