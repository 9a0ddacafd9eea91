import { rfc3339 } from '../calendar/local-time.ts';
import { checkFile } from '../file/check.ts';
import { item } from '../file/print.ts';
import { explainPlan } from '../plan/explain.ts';
import { planTonight } from '../plan/plan.ts';
import type { NightTimes } from '../plan/tonight.ts';
import { verifyPlan } from '../plan/verify.ts';
import { whatIf } from '../plan/what-if.ts';
import type { Yard } from '../yard/types.ts';
import { clockFrom, No, nightOf, out } from './say.ts';

/**
 * `dusklatch check FILE`: every error with its line, else the review; then, for people, whether the next night can be
 * as it is wanted. 0 well, 1 the yard has errors, 2 there is no such file.
 */
export function checkCommand(file: string, flags: { readonly json?: boolean }): number {
  const { output, exitCode, yard } = checkFile(file, flags);
  out(output);
  if (yard && !flags.json) out(nextNight(yard));
  return exitCode;
}

function nextNight(yard: Yard): string {
  let night: NightTimes;
  try {
    night = nightOf(yard, undefined);
  } catch (error) {
    if (error instanceof No) return `\n${error.message}`;
    throw error;
  }
  const plan = planTonight(yard, night, { stamp: (ms) => rfc3339(yard, ms) });
  // The verifier shares no code with the search: a plan that it finds fault with must not be believed.
  const broken = verifyPlan(yard, night, plan).map((b) => `BROKEN, a fault of this program: ${b.text}`);
  const lines = [...explainPlan(yard, plan, clockFrom(yard, night)), ...whatIf(yard, night, plan), ...broken];
  return ['', `The next night, ${night.date}`, ...lines.map(item)].join('\n');
}
