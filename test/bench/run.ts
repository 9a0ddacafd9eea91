import { benchGate } from './gate.ts';
import { benchIntake } from './intake.ts';
import { benchRest } from './rest.ts';
import type { Row } from './row.ts';
import { benchStop } from './stop.ts';

/*
 * `npm run bench [NAME …]`: every figure as a ratio to a floor measured in the same run, as a table and as JSON. It fails
 * nothing: a machine is noisy, and a person reads it.
 */

const BENCHES: Readonly<Record<string, () => Promise<Row[]>>> = {
  stop: benchStop,
  gate: benchGate,
  intake: benchIntake,
  rest: benchRest,
};

const asked = process.argv.slice(2);
const rows: Row[] = [];
for (const [name, bench] of Object.entries(BENCHES)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  process.stderr.write(`${name} …\n`);
  rows.push(...(await bench()));
}
const figure = (n: number): string => (n >= 100 ? n.toFixed(0) : n >= 1 ? n.toFixed(2) : n.toFixed(4));
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
console.log(JSON.stringify(rows));
process.exit(0);
