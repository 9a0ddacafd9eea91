import { seeded } from '../show/chance.ts';
import type { Expects } from '../yard/timeline.ts';
import type { Yard } from '../yard/types.ts';
import { boundOf, limitsOf } from './bound.ts';
import { type Problem, problemOf, totalWanted, wholeExpects } from './problem.ts';
import { lowestPsi, peaksOf, runsOf, scenesOf, seconds, workingPsi } from './report.ts';
import type { Schedule } from './schedule.ts';
import { scoreOf, worthShare } from './score.ts';
import { searched } from './search.ts';
import { utcStamp } from './stamp.ts';
import type { NightTimes, TonightPlan } from './tonight.ts';

export interface PlanOptions {
  /** Measured durations, ms by `prop.move`; without them the file alone is used. */
  readonly expects?: Expects;
  /** Writes an instant (ms since 1970) as RFC 3339 with the local offset; in UTC without it. */
  readonly stamp?: (ms: number) => string;
  /** How much work the search may do, in rules asked. The default follows from the size of the night. */
  readonly steps?: number;
}

/**
 * Tonight's plan. Same yard, night and options, same plan to the byte.
 * Every rule of the yard file is kept; best level first, then worth, then evenness, but for a little of the first two
 * that is given for the last (`tried.ts`).
 */
export function planTonight(yard: Yard, night: NightTimes, options: PlanOptions = {}): TonightPlan {
  const expects = options.expects ?? {};
  const problem = problemOf(yard, night, expects);
  const limits = limitsOf(problem);
  const bound = boundOf(problem, limits);
  const chance = seeded(`${yard.seed} ${night.date}`);
  const best = searched(problem, chance, options.steps ?? defaultSteps(problem));
  return written(yard, night, options, best, bound);
}

/** Growing as the night does; a small yard is searched more thoroughly, since there the last run shows. */
function defaultSteps(problem: Problem): number {
  const runs = totalWanted(problem);
  return Math.round(300_000 + 120 * runs + (7_000_000 * 150) / (150 + runs));
}

function written(
  yard: Yard,
  night: NightTimes,
  options: PlanOptions,
  schedule: Schedule,
  bound: TonightPlan['bound'],
): TonightPlan {
  const { problem, starts } = schedule;
  const stamp = options.stamp ?? utcStamp;
  const runs = runsOf(schedule, night.date);
  const tanks: TonightPlan['tanks'] = Object.create(null);
  for (const tank of yard.tanks.values())
    tanks[tank.id] = { lowestPsi: lowestPsi(yard, tank, runs), workingPsi: workingPsi(tank) };
  return {
    night: night.date,
    yard: yard.id,
    open: stamp(night.openMs),
    close: stamp(night.closeMs),
    quiet: night.quietMs === null ? null : stamp(night.quietMs),
    runs,
    scenes: scenesOf(problem, starts),
    circuits: peaksOf(yard, runs),
    tanks,
    expects: expectsOf(yard, options.expects ?? {}),
    level: scoreOf(problem, starts).level,
    worth: worthShare(problem, starts),
    bound,
  };
}

/** Every expected duration that is not in the file's own text: measured, or derived from the drive. */
function expectsOf(yard: Yard, expects: Expects): Record<string, number> {
  const whole = wholeExpects(yard, expects);
  const told: Record<string, number> = Object.create(null);
  for (const prop of yard.props.values())
    for (const move of prop.moves.values()) {
      const key = `${prop.id}.${move.id}`;
      if (move.lastsMs === null && (move.derived || Object.hasOwn(expects, key)))
        told[key] = seconds(whole[key]!);
    }
  return told;
}
