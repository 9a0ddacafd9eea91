import { firstAfter } from './duty.ts';
import { rulesOf } from './parts.ts';
import { type PlanScene, type Problem, totalWanted, worthWanted } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { longestGap } from './score.ts';
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

  /**
   * Looks for more runs, until nothing is lacking or so much work is done. A change for the worse is taken now and
   * then, less and less as the work goes on, so that the search gets out of where it can't improve step by step.
   * @returns the starts of the best schedule met; the schedule itself is left where the search ended
   */
  more(aim: Aim, work: number): number[][] {
    const { trial } = this;
    trial.steer(aim, LOOSE);
    const begun = this.schedule.work;
    const unit = meanWeight(this.problem);
    let owed = 0;
    let worth = 0;
    let most = { owed: 0, worth: 0 };
    let best = this.snapshot();
    let behind = this.behind(aim);
    let lacking = this.lacking(aim);
    while (lacking.length > 0 && this.schedule.work - begun < work) {
      this.schedule.work += 1;
      const heat = 1 - (this.schedule.work - begun) / work;
      const scene = lacking[Math.floor(this.chance() * lacking.length)]!;
      const width = scene.lengthMs * (1 + WIDE * this.chance() ** 2) + 1;
      const from = Math.floor(this.chance() * (scene.lastMs + scene.lengthMs) - width / 2);
      trial.begin();
      this.rearrange(scene, scene, from, width);
      const loss = lossOf(trial, behind, unit);
      const bears = HEAT * heat * this.chance() ** 2;
      if (loss > bears || (loss === 0 && trial.roughened() > bears)) {
        trial.undo();
        continue;
      }
      if (trial.owed === 0 && trial.worth === 0) continue;
      owed += trial.owed;
      worth += trial.worth;
      behind -= trial.owed;
      lacking = this.lacking(aim);
      if (owed > most.owed || (owed === most.owed && worth > most.worth + 1e-9)) {
        best = this.snapshot();
        most = { owed, worth };
        if (behind === 0 && trial.owed > 0) break;
      }
    }
    return best;
  }

  private snapshot(): number[][] {
    return this.schedule.starts.map((starts) => [...starts]);
  }

  /** How far scenes are behind what they are owed, squared. */
  private behind(aim: Aim): number {
    return this.schedule.starts.reduce((sum, s, i) => sum + Math.max(0, aim.least[i]! - s.length) ** 2, 0);
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
      const pick = Math.floor(this.chance() * 3);
      if (pick === 0) this.rearrange(scene, null, from, width);
      else if (pick === 1) this.reorder(scene, from, width, late);
      else this.swap(scene, gap);
      if (trial.owed < 0 || trial.worth < 0 || trial.roughened() > 0) trial.undo();
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
    const back = this.chance() < BACK;
    // A little beyond the stretch there may be a hole, against which to pack.
    const slack = scene.spacingMs * SLACK * this.chance();
    if (back) taken.reverse();
    for (const { scene: s } of taken) {
      const at = back
        ? this.schedule.latest(s, from - width / 2, to + slack)
        : this.schedule.earliest(s, from - slack, to + width / 2);
      if (Number.isFinite(at)) this.trial.put(s, at);
    }
  }

  /** Moves a run of the scene from where they lie dense into its longest gap, and what it pushes out into its place. */
  private swap(scene: PlanScene, gap: { from: number; to: number }): void {
    const starts = this.schedule.starts[scene.index]!;
    const from = starts[this.dense(scene, starts)]!;
    if (!this.trial.take(scene, from)) return;
    const reach = Math.max(0, gap.to - gap.from - 2 * scene.spacingMs);
    const into = Math.floor(gap.from + scene.spacingMs + reach * (0.2 + 0.6 * this.chance()));
    const out = this.makeRoom(scene, into);
    if (out === null) return;
    this.trial.put(scene, into);
    for (const s of out) {
      const near = this.schedule.earliest(s, from - 2 * s.lengthMs, from + 2 * scene.lengthMs);
      const at =
        near === Infinity ? this.schedule.earliest(s, into - 2 * s.lengthMs, into + 2 * s.lengthMs) : near;
      if (!Number.isFinite(at)) return;
      this.trial.put(s, at);
    }
  }

  /** Takes out rivals' runs, one after the other, until the scene fits at `t`; null where that does not help. */
  private makeRoom(scene: PlanScene, t: number): PlanScene[] | null {
    const rivals = this.neighbours[scene.index]!;
    const first = Math.floor(this.chance() * rivals.length);
    const out: PlanScene[] = [];
    for (let i = 0; i < rivals.length && out.length < 5; i++) {
      if (this.schedule.fits(scene, t)) return out;
      const s = rivals[(first + i) % rivals.length]!;
      if (s === scene) continue;
      const starts = this.schedule.starts[s.index]!;
      for (
        let k = firstAfter(starts, t - s.spacingMs);
        k < starts.length && starts[k]! < t + scene.spacingMs;
      ) {
        if (this.trial.take(s, starts[k]!)) out.push(s);
        else k += 1;
      }
    }
    return this.schedule.fits(scene, t) ? out : null;
  }

  /** The run whose neighbours of its scene lie closest, the nearer to open the likelier among equals. */
  private dense(scene: PlanScene, starts: readonly number[]): number {
    let best = 0;
    let least = Infinity;
    for (let k = 0; k < starts.length; k++) {
      const around = ((starts[k + 1] ?? scene.lastMs) - (starts[k - 1] ?? 0)) * (1 + this.chance());
      if (around >= least) continue;
      least = around;
      best = k;
    }
    return best;
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
/** Loss of runs that is borne at first, at most: this many of mean weight, or as much more unevenness. */
const HEAT = 1;
/** Width of the stretch that is put otherwise, in lengths of the lacking scene: mostly narrow, at times so wide. */
const WIDE = 14;
/** Share of the trials that pack towards the end of the stretch. */
const BACK = 0.3;
/** How far beyond the stretch a hole is looked for, in spacings of the lacking scene. */
const SLACK = 2;

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

/** What a trial loses: runs owed while some are lacking and never once none is, else runs by weight, in means of it. */
function lossOf(trial: Trial, behind: number, unit: number): number {
  if (behind > 0 && trial.owed !== 0) return -trial.owed;
  return trial.owed < 0 ? Infinity : -trial.worth / unit;
}

function meanWeight(problem: Problem): number {
  return worthWanted(problem) / Math.max(1, totalWanted(problem)) || 1;
}
