import type { Yard } from '../yard/types.ts';
import { ampsOf, type Point, pressuresOf } from './curves.ts';
import { type Clock, clockOf, explainPlan, minutes } from './explain.ts';
import { hundredths, psi } from './report.ts';
import { msOf } from './stamp.ts';
import type { TonightPlan } from './tonight.ts';

/** The plan as `--json` gives it: the same plan, the same bytes. */
export function planJson(plan: TonightPlan): string {
  return `${JSON.stringify(plan, null, 2)}\n`;
}

/** One line for each move (RFC 4180): when it is expected, in seconds from open and by the clock. */
export function planCsv(plan: TonightPlan, clock: Clock = clockOf(plan)): string {
  const lines = [['run', 'scene', 'start', 'clock', 'end', 'step', 'prop', 'move', 'move_start', 'move_end']];
  for (const run of plan.runs) {
    const head = [run.id, run.scene, String(run.start), clock(run.start), String(run.end)];
    if (run.steps.length === 0) lines.push([...head, '', '', '', '', '']);
    run.steps.forEach((s, k) => {
      lines.push([...head, String(k), s.prop, s.move, String(s.start), String(s.end)]);
    });
  }
  return lines.map((cells) => `${cells.map(quoted).join(',')}\r\n`).join('');
}

function quoted(cell: string): string {
  return /[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
}

/** A table by the hour: runs of each scene, loads of each circuit and tank against their limits; then what is short and why, and `helps`. */
export function planTable(
  yard: Yard,
  plan: TonightPlan,
  clock: Clock = clockOf(plan),
  helps: readonly string[] = [],
): string {
  const hours = hoursOf(plan, clock);
  const quiet = plan.quiet === null ? '' : `, quiet ${plan.quiet.slice(11, 16)}`;
  const rows: string[][] = [['Scene', 'planned', 'longest gap', ...hours.map((h) => h.label)]];
  for (const [id, s] of Object.entries(plan.scenes)) {
    const runs = plan.runs.filter((r) => r.scene === id);
    rows.push([
      yard.scenes.get(id)!.title,
      `${s.planned} of ${s.wanted}`,
      minutes(s.longestGap),
      ...hours.map((h) => String(runs.filter((r) => r.start >= h.from && r.start < h.to).length)),
    ]);
  }
  const loads: string[][] = [['Load', 'most', 'limit', ...hours.map((h) => h.label)]];
  for (const [id, peak] of Object.entries(plan.circuits)) {
    const steps = ampsOf(yard, plan.runs, id, false);
    const title = yard.circuits.get(id)!.title;
    const perHour = hours.map((h) => hundredths(within(steps, h, Math.max)).toFixed(1));
    loads.push([title, `${peak.peakAmps} A`, `${peak.limitAmps} A`, ...perHour]);
    loads.push([
      `${title}, surges`,
      `${peak.peakSurgeAmps} A`,
      `${peak.breakerAmps} A`,
      ...hours.map(() => ''),
    ]);
  }
  for (const tank of yard.tanks.values()) {
    const line = pressuresOf(yard, plan.runs, tank);
    const { lowestPsi, workingPsi } = plan.tanks[tank.id]!;
    const perHour = hours.map((h) => psi(within(line, h, Math.min)).toFixed(0));
    loads.push([`${tank.title}, lowest`, `${lowestPsi} psi`, `${workingPsi} psi`, ...perHour]);
  }
  return [
    `${yard.title}, night ${plan.night}: open ${plan.open.slice(11, 16)}${quiet}, close ${plan.close.slice(11, 16)}`,
    '',
    ...columns(rows),
    '',
    ...(loads.length > 1 ? [...columns(loads), ''] : []),
    ...explainPlan(yard, plan, clock),
    ...(helps.length > 0
      ? ['', 'What would help, by planning the night anew:', ...helps.map((h) => `  ${h}`)]
      : []),
    '',
  ].join('\n');
}

interface Hour {
  readonly label: string;
  /** Seconds from open. */
  readonly from: number;
  readonly to: number;
}

/** The night cut at the full hours of the clock; the first and the last may be shorter. */
function hoursOf(plan: TonightPlan, clock: Clock): Hour[] {
  const night = (msOf(plan.close) - msOf(plan.open)) / 1000;
  const hours: Hour[] = [];
  let from = 0;
  while (from < night) {
    const past = Number(clock(from).slice(3)) * 60;
    const to = Math.min(night, from + 3600 - past);
    hours.push({ label: clock(from), from, to });
    from = to;
  }
  return hours;
}

/** The most or the least of a curve in an hour, what it comes in with among them. */
function within(points: readonly Point[], hour: Hour, pick: (a: number, b: number) => number): number {
  let value: number | null = null;
  for (const p of points) {
    if (p.at >= hour.to * 1000) break;
    value = value === null || p.at <= hour.from * 1000 ? p.value : pick(value, p.value);
  }
  return value ?? 0;
}

/** Left the names, right the figures. */
function columns(rows: readonly string[][]): string[] {
  const widths = rows[0]!.map((_, c) => Math.max(...rows.map((row) => row[c]!.length)));
  return rows.map((row) =>
    row
      .map((cell, c) => (c === 0 ? cell.padEnd(widths[c]!) : cell.padStart(widths[c]!)))
      .join('  ')
      .trimEnd(),
  );
}
