import { writeFileSync } from 'node:fs';
import { rfc3339 } from '../calendar/local-time.ts';
import { measuredExpects } from '../measured.ts';
import { planSvg } from '../plan/chart.ts';
import { planTonight } from '../plan/plan.ts';
import { planCsv, planJson, planTable } from '../plan/print.ts';
import { whatIf } from '../plan/what-if.ts';
import { RED_BUTTON_SHORT } from '../words/en/notice.ts';
import { clockFrom, err, No, nightOf, out, yardOf } from './say.ts';

export interface PlanFlags {
  readonly night?: string;
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly svg?: string;
  /** Take the travel times that the record has measured. */
  readonly measured?: boolean;
  readonly data: string;
}

/** `dusklatch plan FILE --night DATE`: tonight's plan; 1 where the date has no night. */
export function planCommand(file: string, flags: PlanFlags): number {
  const { yard } = yardOf(file);
  const night = nightOf(yard, flags.night);
  const expects = flags.measured ? measuredExpects(flags.data, yard) : {};
  const plan = planTonight(yard, night, { expects, stamp: (ms) => rfc3339(yard, ms) });
  const clock = clockFrom(yard, night);
  if (flags.svg !== undefined) writePicture(flags.svg, planSvg(yard, plan, clock));
  if (flags.json) out(planJson(plan));
  else if (flags.csv) out(planCsv(plan, clock));
  else if (flags.svg === undefined) out(planTable(yard, plan, clock, whatIf(yard, night, plan)));
  err(RED_BUTTON_SHORT);
  return 0;
}

function writePicture(path: string, svg: string): void {
  try {
    writeFileSync(path, svg);
  } catch (error) {
    throw new No(`${path} can't be written: ${error instanceof Error ? error.message : String(error)}.`);
  }
  err(`The picture is in ${path}.`);
}
