import { firstAfter } from './duty.ts';
import type { PlanScene } from './problem.ts';
import { Queue } from './queue.ts';
import type { Schedule } from './schedule.ts';
import { longestAllowedMs } from './score.ts';

/** When each run of a scene should start, ascending, ms from open; fractions allowed. */
export type Targets = readonly number[];

/**
 * Targets for as many runs as a scene wants: gaps of `every`, each drawn within ± `vary`. The first start lies as
 * far from open as `phase` says of what is left over, so that scenes with one `every` don't all begin together.
 * What is left over is kept at a third of `every` at least, half before and half behind, taken from the gaps.
 */
export function wantedTargets(scene: PlanScene, phase: number, chance: () => number): Targets {
  const { everyMs, lastMs, wanted, vary } = scene;
  if (wanted === 0) return [];
  const gaps = wanted - 1;
  const over = lastMs - gaps * everyMs;
  const kept = Math.min(lastMs, Math.max(over, everyMs / 3));
  const head = Math.min(phase * kept, everyMs);
  const targets = [head];
  const drawn = Array.from({ length: gaps }, () => (chance() * 2 - 1) * vary);
  const mean = gaps > 0 ? drawn.reduce((a, b) => a + b, 0) / gaps : 0;
  const step = gaps > 0 ? Math.min(everyMs, (lastMs - kept) / gaps) : 0;
  for (const d of drawn) {
    const share = Math.max(-vary, Math.min(vary, d - mean));
    targets.push(targets[targets.length - 1]! + step * (1 + share));
  }
  const beyond = targets[gaps]! - lastMs;
  return beyond > 0 ? targets.map((t) => Math.max(0, t - (beyond * t) / targets[gaps]!)) : targets;
}

/** Targets for fewer runs than wanted: evenly over the night, each shifted by up to half of `vary`. */
export function evenTargets(scene: PlanScene, count: number, chance: () => number): Targets {
  const step = scene.lastMs / Math.max(1, count);
  return Array.from({ length: count }, (_, k) => (k + 0.5 + (chance() - 0.5) * scene.vary) * step);
}

/** How far behind its time a run is placed at most, in gaps. */
const LATE = 4;

/** Jumps tried for one scene: how often its whole train is pushed on past something in the way. */
const JUMPS = 100;

/**
 * Places whole scenes, the busiest first, as trains: all gaps as they are drawn, shifted as one until every run fits.
 * Two scenes that fit one grid at all find it so. Gives back the scenes for whose train there is no such shift.
 */
export function placeTrains(schedule: Schedule, targets: readonly Targets[]): PlanScene[] {
  const busy = (s: PlanScene) => s.lengthMs / s.everyMs;
  const scenes = schedule.problem.scenes.filter((s) => targets[s.index]!.length > 0);
  scenes.sort((a, b) => busy(b) - busy(a) || a.index - b.index);
  return scenes.filter((s) => !placeTrain(schedule, s, targets[s.index]!));
}

function placeTrain(schedule: Schedule, scene: PlanScene, targets: Targets): boolean {
  const offsets = targets.map((t) => Math.round(t - targets[0]!));
  if (offsets.some((t, k) => k > 0 && t - offsets[k - 1]! < scene.spacingMs)) return false;
  const most = Math.min(scene.lastMs - offsets[offsets.length - 1]!, scene.everyMs * (1 + scene.vary));
  const first = Math.min(Math.round(targets[0]!), most);
  const shift = shiftOf(schedule, scene, offsets, first, most) ?? shiftOf(schedule, scene, offsets, 0, first);
  if (shift === null) return false;
  for (let k = 0; k < offsets.length; k++) {
    // Duty and air see the train's own runs only once they are there.
    if (schedule.fits(scene, shift + offsets[k]!)) schedule.add(scene, shift + offsets[k]!);
    else {
      while (k-- > 0) schedule.remove(scene, shift + offsets[k]!);
      return false;
    }
  }
  return true;
}

/** The least shift from `first` on at which every run of the train fits; null if there is none up to `most`. */
function shiftOf(
  schedule: Schedule,
  scene: PlanScene,
  offsets: readonly number[],
  first: number,
  most: number,
): number | null {
  let shift = first;
  let jumps = 0;
  for (let k = 0; k < offsets.length; ) {
    const at = shift + offsets[k]!;
    const t = schedule.earliest(scene, at, at + most - shift);
    if (t === at) {
      k += 1;
      continue;
    }
    shift += t - at;
    jumps += 1;
    if (!(shift <= most) || jumps > JUMPS) return null;
    k = 0;
  }
  return shift;
}

/** Places the runs of the scenes in order of their targets, each where it fits nearest to its own. */
export function placeAll(
  schedule: Schedule,
  targets: readonly Targets[],
  scenes: readonly PlanScene[],
): void {
  const queue: { at: number; scene: PlanScene; k: number }[] = [];
  for (const scene of scenes)
    targets[scene.index]!.forEach((at, k) => {
      queue.push({ at, scene, k });
    });
  queue.sort((a, b) => a.at - b.at || a.scene.index - b.scene.index);
  for (const { at, scene, k } of queue) {
    const gap = k > 0 ? at - targets[scene.index]![k - 1]! : scene.everyMs;
    const t = nearest(schedule, scene, at, gap);
    if (Number.isFinite(t)) schedule.add(scene, t);
  }
}

/** Where the scene fits nearest to `at`, earlier by half a gap at most and later by a few: further off is another's place. */
function nearest(schedule: Schedule, scene: PlanScene, at: number, gap: number): number {
  const later = schedule.earliest(scene, at, at + LATE * Math.max(gap, scene.everyMs));
  if (later - at <= 1) return later;
  const sooner = schedule.latest(scene, Math.max(at - gap / 2, at - (later - at)), at);
  return Number.isFinite(sooner) ? sooner : later;
}

/**
 * Adds runs that are still wanted wherever they fit, the widest gaps first; a gap without room is not looked at again.
 * @returns the starts added, in the order in which they were
 */
export function fill(schedule: Schedule, scene: PlanScene, count: number): number[] {
  const added: number[] = [];
  if (scene.lastMs < 0 || count <= 0) return added;
  const gaps = new Queue<{ readonly from: number; readonly to: number }>();
  const offer = (from: number, to: number) => {
    if (to - from >= 2 * scene.spacingMs) gaps.push(from - to, from, { from, to });
  };
  const marks = [-scene.spacingMs, ...schedule.starts[scene.index]!, scene.lastMs + scene.spacingMs];
  for (let k = 1; k < marks.length; k++) offer(marks[k - 1]!, marks[k]!);
  for (let next = gaps.pop(); next && added.length < count; next = gaps.pop()) {
    const { from, to } = next.item;
    const t = nearMiddle(schedule, scene, from, to);
    if (t === null) continue;
    schedule.add(scene, t);
    added.push(t);
    offer(from, t);
    offer(t, to);
  }
  return added;
}

/** The start in a gap that is nearest to its middle; null where there is none. */
function nearMiddle(schedule: Schedule, scene: PlanScene, from: number, to: number): number | null {
  const middle = Math.max(0, Math.min(scene.lastMs, Math.floor((from + to) / 2)));
  const later = schedule.earliest(scene, middle, to);
  const sooner = schedule.latest(scene, Math.max(0, from), middle);
  if (later === Infinity && sooner === -Infinity) return null;
  return later - middle <= middle - sooner ? later : sooner;
}

/** Adds what still fits, first what is worth most for the time it takes. */
export function fillUp(schedule: Schedule): void {
  const worth = (s: PlanScene) => s.weight / s.spacingMs;
  for (const s of [...schedule.problem.scenes].sort((a, b) => worth(b) - worth(a) || a.index - b.index))
    fill(schedule, s, s.wanted - schedule.starts[s.index]!.length);
}

/** Parts the scene's gaps that are too long by a run each, where there is room, until none is or none has room. */
export function bridge(schedule: Schedule, scene: PlanScene): void {
  if (scene.wanted === 0) return;
  const limit = longestAllowedMs(scene);
  for (let from = 0; ; ) {
    const starts = schedule.starts[scene.index]!;
    const to = starts[firstAfter(starts, from)] ?? scene.lastMs;
    if (to - from > limit) {
      const near = nearMiddle(schedule, scene, from, to);
      if (near !== null) {
        schedule.add(scene, near);
        continue;
      }
    }
    if (to >= scene.lastMs) return;
    from = to;
  }
}
