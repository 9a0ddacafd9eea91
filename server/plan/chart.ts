import type { Tank, Yard } from '../yard/types.ts';
import { ampsOf, type Point, pressuresOf } from './curves.ts';
import { type Clock, clockOf } from './explain.ts';
import { psi } from './report.ts';
import { msOf } from './stamp.ts';
import type { TonightPlan } from './tonight.ts';

const WIDTH = 1200;
const LEFT = 170;
const RIGHT = 20;
const ROW = 18;
const PANEL = 90;
const GAP = 26;

/**
 * The plan as a picture (SVG 1.1): the runs of each scene, grouped by zone, over the current on each circuit and the
 * pressure in each tank with their limits, all on one clock.
 */
export function planSvg(yard: Yard, plan: TonightPlan, clock: Clock = clockOf(plan)): string {
  const nightS = (msOf(plan.close) - msOf(plan.open)) / 1000;
  const x = (seconds: number) => round(LEFT + (seconds / nightS) * (WIDTH - LEFT - RIGHT));
  const parts: string[] = [];
  let y = 40;
  const marks: string[] = [];
  for (const { title, scenes } of zonesOf(yard, plan)) {
    parts.push(text(8, y + 13, title, 'zone'));
    y += ROW;
    for (const id of scenes) {
      parts.push(text(18, y + 13, yard.scenes.get(id)!.title, 'name'));
      for (const run of plan.runs.filter((r) => r.scene === id)) {
        const width = round(Math.max(1, x(run.end) - x(run.start)));
        parts.push(
          `<rect class="run" x="${x(run.start)}" y="${y + 3}" width="${width}" height="${ROW - 6}"><title>${escaped(
            `${run.id} ${clock(run.start)}`,
          )}</title></rect>`,
        );
      }
      y += ROW;
    }
  }
  for (const circuit of yard.circuits.values()) {
    const peak = plan.circuits[circuit.id]!;
    const steps = ampsOf(yard, plan.runs, circuit.id, false);
    const surges = ampsOf(yard, plan.runs, circuit.id, true);
    y += GAP;
    parts.push(
      panel(y, x, {
        title: circuit.title,
        unit: 'A',
        top: peak.breakerAmps * 1.05,
        lines: [
          { points: stairs(surges, nightS), kind: 'surge' },
          { points: stairs(steps, nightS), kind: 'load' },
        ],
        limits: [
          { at: peak.limitAmps, label: `limit ${peak.limitAmps} A` },
          { at: peak.breakerAmps, label: `breaker ${peak.breakerAmps} A` },
        ],
      }),
    );
    y += PANEL;
  }
  for (const tank of yard.tanks.values()) {
    y += GAP;
    parts.push(panel(y, x, tankPanel(yard, plan, tank, nightS)));
    y += PANEL;
  }
  const height = y + 40;
  for (let s = firstHour(clock); s < nightS; s += 3600)
    marks.push(line(x(s), 30, x(s), height - 24, 'hour'), text(x(s), height - 10, clock(s), 'tick'));
  marks.push(
    text(x(0), 24, `open ${clock(0)}`, 'tick'),
    text(x(nightS), 24, `close ${clock(nightS)}`, 'end'),
  );
  if (plan.quiet !== null) {
    const s = (msOf(plan.quiet) - msOf(plan.open)) / 1000;
    marks.push(line(x(s), 30, x(s), height - 24, 'quiet'), text(x(s), 24, `quiet ${clock(s)}`, 'tick'));
  }
  const title = escaped(`${yard.title}, night ${plan.night}`);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img" aria-label="${title}">`,
    `<title>${title}</title>`,
    `<style>${STYLE}</style>`,
    `<rect class="paper" width="${WIDTH}" height="${height}"/>`,
    ...marks,
    ...parts,
    '</svg>',
    '',
  ].join('\n');
}

const STYLE = [
  'text{font:12px sans-serif;fill:#1b1b1b}',
  '.zone{font-weight:bold}',
  '.tick{text-anchor:middle}',
  '.end{text-anchor:end}',
  '.paper{fill:#fff}',
  '.run{fill:#2b5b84}',
  '.hour{stroke:#ddd}',
  '.quiet{stroke:#7a3b00;stroke-dasharray:2 3}',
  '.load,.surge{fill:none;stroke:#2b5b84}',
  '.surge{stroke:#9ab6cf}',
  '.limit{stroke:#a4161a;stroke-dasharray:6 3}',
  '.frame{fill:none;stroke:#999}',
].join('');

/** Scenes with runs or an aim, by zone in the order of the file; those without a zone last. */
function zonesOf(yard: Yard, plan: TonightPlan): { title: string; scenes: string[] }[] {
  const shown = [...yard.scenes.values()].filter((s) => Object.hasOwn(plan.scenes, s.id));
  const zones = [...yard.zones.values()].map((z) => ({
    title: z.title,
    scenes: shown.filter((s) => s.zone === z.id).map((s) => s.id),
  }));
  zones.push({ title: 'No zone', scenes: shown.filter((s) => s.zone === null).map((s) => s.id) });
  return zones.filter((z) => z.scenes.length > 0);
}

interface Panel {
  readonly title: string;
  readonly unit: string;
  readonly top: number;
  /** Points in ms from open and the panel's unit. */
  readonly lines: readonly { readonly points: readonly Point[]; readonly kind: string }[];
  readonly limits: readonly { readonly at: number; readonly label: string }[];
}

function tankPanel(yard: Yard, plan: TonightPlan, tank: Tank, nightS: number): Panel {
  const points = pressuresOf(yard, plan.runs, tank).map((p) => ({ at: p.at, value: psi(p.value) }));
  const last = points[points.length - 1]!;
  return {
    title: tank.title,
    unit: 'psi',
    top: psi(tank.cutOutKpa) * 1.05,
    lines: [{ points: [...points, { at: nightS * 1000, value: last.value }], kind: 'load' }],
    limits: [{ at: psi(tank.workingKpa), label: `working ${psi(tank.workingKpa)} psi` }],
  };
}

function panel(y: number, x: (seconds: number) => number, p: Panel): string {
  const at = (value: number) => round(y + PANEL - (Math.max(0, Math.min(value, p.top)) / p.top) * PANEL);
  const path = (points: readonly Point[]) => points.map((q) => `${x(q.at / 1000)},${at(q.value)}`).join(' ');
  const width = WIDTH - LEFT - RIGHT;
  return [
    text(8, y - 6, p.title, 'zone'),
    `<rect class="frame" x="${LEFT}" y="${y}" width="${width}" height="${PANEL}"/>`,
    ...p.lines.map((l) => `<polyline class="${l.kind}" points="${path(l.points)}"/>`),
    ...p.limits.flatMap((l) => [
      line(LEFT, at(l.at), WIDTH - RIGHT, at(l.at), 'limit'),
      text(8, at(l.at) + 4, l.label, 'name'),
    ]),
  ].join('\n');
}

/** Steps as the corners of a line. */
function stairs(steps: readonly Point[], nightS: number): Point[] {
  const corners: Point[] = [];
  for (const step of steps) {
    const last = corners[corners.length - 1];
    if (last) corners.push({ at: step.at, value: last.value });
    corners.push(step);
  }
  const last = corners[corners.length - 1]!;
  return [...corners, { at: Math.max(last.at, nightS * 1000), value: last.value }];
}

/** Seconds from open to the first full hour of the clock. */
function firstHour(clock: Clock): number {
  const past = Number(clock(0).slice(3)) * 60;
  return past === 0 ? 0 : 3600 - past;
}

function line(x1: number, y1: number, x2: number, y2: number, kind: string): string {
  return `<line class="${kind}" x1="${x1}" y1="${y1}" x2="${x2}" y2="${y2}"/>`;
}

function text(x: number, y: number, content: string, kind: string): string {
  return `<text class="${kind}" x="${x}" y="${y}">${escaped(content)}</text>`;
}

function escaped(content: string): string {
  return content
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

function round(n: number): number {
  return Math.round(n * 10) / 10;
}
