import { firstAfter } from './duty.ts';
import { rulesOf } from './parts.ts';
import type { PlanScene, Problem } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { type Aim, Trial } from './trial.ts';

interface Taken {
  readonly scene: PlanScene;
  /** Where it would best start. */
  at: number;
  /** When its turn comes to be put back. */
  key: number;
}

/**
 * Improves a schedule by trial: takes the runs out of a stretch of the night and puts them back otherwise. What comes
 * out is kept if it has no fewer runs and, at equal runs, is no less even; so the search wanders over plans of equal
 * worth until one of them has room for one more.
 */
export class Search {
  private readonly schedule: Schedule;
  private readonly problem: Problem;
  private readonly chance: () => number;
  private readonly neighbours: PlanScene[][];
  private readonly trial: Trial;

  constructor(schedule: Schedule, chance: () => number) {
    this.schedule = schedule;
    this.problem = schedule.problem;
    this.chance = chance;
    this.neighbours = neighboursOf(this.problem);
    this.trial = new Trial(schedule);
  }

  /** Looks for more runs, until nothing is lacking or so much work is done. */
  more(aim: Aim, work: number, enough: () => boolean = () => false): void {
    const { trial } = this;
    trial.steer(aim, LOOSE);
    const until = this.schedule.work + work;
    let lacking = this.lacking(aim);
    while (lacking.length > 0 && this.schedule.work < until) {
      this.schedule.work += 1;
      const scene = lacking[Math.floor(this.chance() * lacking.length)]!;
      const width = scene.lengthMs * (1 + 4 * this.chance()) + 1;
      const from = Math.floor(this.chance() * (scene.lastMs + scene.lengthMs) - width / 2);
      trial.begin();
      this.rearrange(scene, scene, from, width);
      if (trial.gain < 0 || (trial.gain === 0 && trial.roughened() > 0)) trial.undo();
      else if (trial.gain > 0) {
        if (enough()) return;
        lacking = this.lacking(aim);
      }
    }
  }

  /** Evens out the gaps, with as many runs of every scene as there are. */
  even(aim: Aim, work: number): void {
    const { trial } = this;
    trial.steer(aim, 0);
    const until = this.schedule.work + work;
    const rough = this.problem.scenes.filter((s) => this.schedule.starts[s.index]!.length > 0);
    while (rough.length > 0 && this.schedule.work < until) {
      this.schedule.work += 1;
      const scene = this.roughest(rough);
      if (scene === null) return;
      trial.begin();
      const gap = longestGap(scene, this.schedule.starts[scene.index]!);
      const late = this.chance() < 0.5;
      const width = Math.ceil(scene.lengthMs * (0.5 + 3 * this.chance()));
      const from = Math.floor((late ? gap.to : gap.from) - width * this.chance());
      if (this.chance() < 0.5) this.rearrange(scene, null, from, width);
      else this.reorder(scene, from, width, late);
      if (trial.gain < 0 || trial.roughened() > 0) trial.undo();
    }
  }

  /** Scenes below what they are owed; where none is, those below what they may have. */
  private lacking(aim: Aim): PlanScene[] {
    const short = (list: readonly number[]) =>
      this.problem.scenes.filter(
        (s) => s.lastMs >= 0 && !s.never && this.schedule.starts[s.index]!.length < list[s.index]!,
      );
    const owed = short(aim.least);
    return owed.length > 0 ? owed : short(aim.most);
  }

  /** Takes out what runs in a stretch and puts it back in another order, the lacking run with it. */
  private rearrange(scene: PlanScene, lacking: PlanScene | null, from: number, width: number): void {
    const to = from + width;
    const noise = this.chance() * width;
    const taken = this.takeOut(scene, from, to);
    for (const t of taken) t.key = t.at + (this.chance() * 2 - 1) * noise;
    if (lacking) taken.push({ scene: lacking, at: from, key: from + this.chance() * width });
    taken.sort((a, b) => a.key - b.key);
    const back = this.chance() < 0.3;
    if (back) taken.reverse();
    for (const { scene: s } of taken) {
      const at = back
        ? this.schedule.latest(s, from - width / 2, to)
        : this.schedule.earliest(s, from, to + width / 2);
      if (Number.isFinite(at)) this.trial.put(s, at);
    }
  }

  /** The scene's run at the edge of its gap goes first into it, then the others by how long their scenes have waited. */
  private reorder(scene: PlanScene, from: number, width: number, front: boolean): void {
    const to = from + width;
    const taken = this.takeOut(scene, from, to);
    for (const t of taken) {
      const starts = this.schedule.starts[t.scene.index]!;
      const k = firstAfter(starts, t.at);
      const [before, after] = [starts[k - 1] ?? 0, starts[k] ?? t.scene.lastMs];
      const limit = t.scene.everyMs * (1 + t.scene.vary);
      const noise = (this.chance() - 0.5) * width;
      t.key = front ? before + limit + noise : -(after - limit) + noise;
      if (t.scene === scene) t.key -= width;
    }
    taken.sort((a, b) => a.key - b.key);
    for (const { scene: s } of taken) {
      const at = front
        ? this.schedule.earliest(s, from, to + width / 2)
        : this.schedule.latest(s, from - width / 2, to);
      if (!Number.isFinite(at)) return;
      this.trial.put(s, at);
    }
  }

  private takeOut(scene: PlanScene, from: number, to: number): Taken[] {
    const taken: Taken[] = [];
    for (const s of this.neighbours[scene.index]!) {
      const starts = this.schedule.starts[s.index]!;
      for (let k = firstAfter(starts, from - 1); k < starts.length && starts[k]! < to; ) {
        const at = starts[k]!;
        if (this.trial.take(s, at)) taken.push({ scene: s, at, key: at });
        else k += 1;
      }
    }
    return taken;
  }

  /** One of the scenes with too long a gap: the worst of a few, or of all. */
  private roughest(scenes: readonly PlanScene[]): PlanScene | null {
    let worst: PlanScene | null = null;
    let most = 0;
    const looks = this.chance() < 0.3 ? scenes.length : 4;
    for (let k = 0; k < looks; k++) {
      const s = looks === 4 ? scenes[Math.floor(this.chance() * scenes.length)]! : scenes[k]!;
      const uneven = this.trial.unevenness(s);
      if (uneven <= most) continue;
      most = uneven;
      worst = s;
    }
    if (worst === null && looks < scenes.length)
      return scenes.find((s) => this.trial.unevenness(s) > 0) ?? null;
    return worst;
  }
}

/** While runs are sought, gaps may be so many times as long as they would be if all were equal. */
const LOOSE = 2;

/** The longest stretch without a start; open and the latest possible start count as starts. */
function longestGap(scene: PlanScene, starts: readonly number[]): { from: number; to: number } {
  let best = { from: 0, to: starts[0] ?? scene.lastMs };
  for (let k = 0; k < starts.length; k++) {
    const to = starts[k + 1] ?? scene.lastMs;
    if (to - starts[k]! > best.to - best.from) best = { from: starts[k]!, to };
  }
  return best;
}

/** For each scene those that share a rule with it, itself among them. */
function neighboursOf(problem: Problem): PlanScene[][] {
  const groups = new Map<string, PlanScene[]>();
  for (const s of problem.scenes)
    for (const rule of rulesOf(s)) {
      const group = groups.get(rule);
      if (group) group.push(s);
      else groups.set(rule, [s]);
    }
  return problem.scenes.map((s) => [...new Set([s, ...rulesOf(s).flatMap((rule) => groups.get(rule)!)])]);
}
