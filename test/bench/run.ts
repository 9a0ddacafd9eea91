import { growthChart } from './chart.ts';
import { benchGate } from './gate.ts';
import { benchGrowth } from './growth.ts';
import { benchIntake } from './intake.ts';
import { benchJitter } from './jitter.ts';
import { benchPage } from './page.ts';
import { benchPlan, benchPlanGrowth } from './plan.ts';
import { benchRest } from './rest.ts';
import type { Row } from './row.ts';
import { benchStop } from './stop.ts';
import { benchStorm } from './storm.ts';

/*
 * `npm run bench [-- NAME …]`: every figure as a ratio to a floor measured in the same run, as JSON and as a table at the
 * end. It fails nothing: a machine is noisy, and a person reads it. One that breaks is told, and the others go on.
 */

const BENCHES: Readonly<Record<string, () => Promise<Row[]>>> = {
  stop: benchStop,
  gate: benchGate,
  intake: benchIntake,
  jitter: benchJitter,
  rest: benchRest,
  page: benchPage,
  plan: benchPlan,
  storm: benchStorm,
  growth: async () => [...(await benchPlanGrowth()), ...(await benchGrowth())],
};

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !Object.hasOwn(BENCHES, name));
if (unknown.length > 0) {
  process.stderr.write(`There is no bench ${unknown.join(', ')}: ${Object.keys(BENCHES).join(', ')}.\n`);
  process.exit(2);
}
const rows: Row[] = [];
for (const [name, bench] of Object.entries(BENCHES)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  process.stderr.write(`${name} …\n`);
  try {
    rows.push(...(await bench()));
  } catch (error) {
    process.stderr.write(`${name} broke: ${error instanceof Error ? error.stack : String(error)}\n`);
    process.exitCode = 1;
  }
}
const figure = (n: number): string => (n >= 100 ? n.toFixed(0) : n >= 1 ? n.toFixed(2) : n.toFixed(4));
console.log(JSON.stringify(rows));
const chart = growthChart(rows);
if (chart !== '') console.log(`\n${chart}\n`);
console.table(
  rows.map((r) => ({
    work: r.work,
    ours: `${figure(r.ours)} ${r.unit}`,
    floor: `${figure(r.floor)} ${r.unit}`,
    ratio: figure(r.ratio),
    aim: r.aim,
    note: r.note ?? '',
  })),
);
process.exit();
