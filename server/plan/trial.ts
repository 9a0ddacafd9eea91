import type { PlanScene } from './problem.ts';
import type { Schedule } from './schedule.ts';
import { longestAllowedMs, unevenness } from './score.ts';

/** How a search is steered: what every scene must have at least, and may have at most. */
export interface Aim {
  /** Runs each scene is owed; these come first. */
  readonly least: readonly number[];
  /** Runs each scene may have. */
  readonly most: readonly number[];
}

/**
 * Changes to a schedule on trial: each is logged with what it gains, and all can be taken back.
 */
export class Trial {
  readonly schedule: Schedule;
  /** By how much the changes since `begin` lessen what scenes are behind what they are owed, squared. */
  owed = 0;
  /** What they gain in runs, by weight. */
  worth = 0;
  private aim: Aim = { least: [], most: [] };
  private loose = 0;
  private readonly log: { scene: PlanScene; at: number; added: boolean }[] = [];
  /** Unevenness of each scene before the first change to it since `begin`. */
  private readonly before = new Map<PlanScene, number>();
  /** Unevenness of each scene as it was when last asked; NaN where it has changed since. */
  private readonly known: Float64Array;

  constructor(schedule: Schedule) {
    this.schedule = schedule;
    this.known = new Float64Array(schedule.problem.scenes.length).fill(Number.NaN);
  }

  /** @param loose how many times longer than equal gaps a gap may be before it counts as uneven; 0: no such excuse. */
  steer(aim: Aim, loose: number): void {
    this.aim = aim;
    this.loose = loose;
    this.known.fill(Number.NaN);
    this.begin();
  }

  begin(): void {
    this.owed = 0;
    this.worth = 0;
    this.log.length = 0;
    this.before.clear();
  }

  take(scene: PlanScene, at: number): boolean {
    const uneven = this.unevenness(scene);
    if (!this.schedule.remove(scene, at)) return false;
    this.note(scene, at, false, uneven);
    return true;
  }

  put(scene: PlanScene, at: number): void {
    const uneven = this.unevenness(scene);
    this.schedule.add(scene, at);
    this.note(scene, at, true, uneven);
  }

  undo(): void {
    for (let k = this.log.length - 1; k >= 0; k--) {
      const { scene, at, added } = this.log[k]!;
      if (added) this.schedule.remove(scene, at);
      else this.schedule.add(scene, at);
    }
    for (const [scene, uneven] of this.before) this.known[scene.index] = uneven;
    this.begin();
  }

  /** How much more uneven the changes make the plan; below 0 where they even it. */
  roughened(): number {
    let sum = 0;
    for (const [scene, uneven] of this.before) sum += this.unevenness(scene) - uneven;
    return sum;
  }

  /** How much longer than `every` × (1 + `vary`) the scene's gaps are, with the excuse given to `steer`. */
  unevenness(scene: PlanScene): number {
    const known = this.known[scene.index]!;
    if (!Number.isNaN(known)) return known;
    const starts = this.schedule.starts[scene.index]!;
    this.schedule.work += starts.length >> 8;
    const excusedMs = (this.loose * scene.lastMs) / (starts.length + 1);
    const sum = unevenness(scene, starts, Math.max(longestAllowedMs(scene), scene.spacingMs, excusedMs));
    this.known[scene.index] = sum;
    return sum;
  }

  private note(scene: PlanScene, at: number, added: boolean, uneven: number): void {
    this.log.push({ scene, at, added });
    if (!this.before.has(scene)) this.before.set(scene, uneven);
    this.known[scene.index] = Number.NaN;
    const had = this.schedule.starts[scene.index]!.length;
    const was = added ? had - 1 : had + 1;
    const { least, most } = this.aim;
    this.owed += behind(least[scene.index]!, was) - behind(least[scene.index]!, had);
    // A scene without weight counts a little, so that it too gets what nothing else wants.
    const weight = scene.weight + 1e-6;
    this.worth += weight * (Math.min(had, most[scene.index]!) - Math.min(was, most[scene.index]!));
  }
}

/** The scene furthest behind counts most. */
function behind(owed: number, had: number): number {
  return had < owed ? (owed - had) ** 2 : 0;
}
