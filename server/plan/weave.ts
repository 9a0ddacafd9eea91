import type { Limits } from './bound.ts';
import { justify, lay } from './lay.ts';
import { Mixer } from './mix.ts';
import { fillUp } from './place.ts';
import type { Problem } from './problem.ts';
import { Schedule, scheduleOf } from './schedule.ts';
import { better, scoreOf } from './score.ts';

/** Of the work, the share for finding blocks; the rest is for laying them, so often at least and at most. */
const FINDING = 0.7;
const LAYINGS = [5, 30] as const;

/** After so many layings, none of which came so near to the level that is known, there are no more. */
const TRIALS = 3;
const NEAR = 0.9;

/** How much of a night is laid: runs drawn forward leave room for more. */
const ROOM = [0.95, 1.15] as const;

/** So many of the best are drawn together. */
const DRAWN = 2;

/** Rules asked in a block cost so much of those asked in a night. */
const BLOCK_WORK = 0.6;

/**
 * Divides the night among blocks and lays them, in several ways: a scene that got less than its share is reckoned slower
 * in the next, and a night that was over early longer. Where a block can't be played as it was packed (a duty over
 * hours, air that takes time, another scene's prop that is away) runs are left out, and searches do better.
 * @param level what is reached without blocks
 * @returns the starts by scene of all that were laid, none where blocks are not worth their work
 */
export function weave(
  problem: Problem,
  limits: Limits,
  level: number,
  work: number,
  chance: () => number,
): { readonly starts: number[][][]; readonly spent: number } {
  if (problem.scenes.length < 2) return { starts: [], spent: 0 };
  const mixer = new Mixer(problem, limits, chance);
  let mix = mixer.search(FINDING * work);
  if (mix === null) return { starts: [], spent: BLOCK_WORK * mixer.work };
  const laid: Schedule[] = [];
  const levelOf = (schedule: Schedule) => scoreOf(problem, schedule.starts).level;
  const spent = () => BLOCK_WORK * mixer.work + laid.reduce((sum, schedule) => sum + schedule.work, 0);
  let slow = problem.scenes.map(() => 1);
  let room = 1;
  const [least, most] = LAYINGS;
  for (let k = 0; k < most && (k < least || spent() < work); k++) {
    if (k === TRIALS && !laid.some((schedule) => levelOf(schedule) >= NEAR * level)) break;
    if (k > 0) mix = mixer.round(slow, room);
    const schedule = new Schedule(problem);
    const endMs = lay(schedule, mix, chance);
    slow = slower(slow, mix.runs, schedule.starts);
    room = Math.min(ROOM[1], Math.max(ROOM[0], (room * problem.windowMs) / Math.max(1, endMs)));
    fillUp(schedule);
    laid.push(schedule);
  }
  const byMerit = laid.map((schedule) => ({ schedule, score: scoreOf(problem, schedule.starts) }));
  byMerit.sort((a, b) => better(b.score, a.score));
  for (const { schedule } of byMerit.slice(0, DRAWN)) {
    const drawn = scheduleOf(problem, schedule.starts);
    justify(drawn);
    fillUp(drawn);
    laid.push(drawn);
  }
  return { starts: laid.map((schedule) => schedule.starts), spent: spent() };
}

/** Reckons scenes that got less than their share slower, and the others faster. */
function slower(slow: readonly number[], due: readonly number[], starts: readonly number[][]): number[] {
  const ratio = due.map((x, i) => Math.max(x, 1) / Math.max(starts[i]!.length, 1));
  const mean = ratio.reduce((sum, r) => sum + r, 0) / ratio.length;
  return slow.map((x, i) => x * (ratio[i]! / mean) ** 0.7);
}
