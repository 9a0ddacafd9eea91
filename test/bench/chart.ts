import type { Row } from './row.ts';

const HIGH = 16;
const WIDE = 48;

/** The growth rows as a log–log chart in text, with the slope of each, 1 being in proportion; empty where there are none. */
export function growthChart(rows: readonly Row[]): string {
  const series = seriesOf(rows);
  if (series.size === 0) return '';
  const all = [...series.values()].flat();
  const x = scale(
    all.map((p) => p.size),
    WIDE - 1,
  );
  const y = scale(
    all.map((p) => p.ms),
    HIGH - 1,
  );
  const grid = Array.from({ length: HIGH }, () => Array.from({ length: WIDE }, () => ' '));
  const told: string[] = [];
  for (const [at, [name, points]] of [...series].entries()) {
    const letter = String.fromCharCode(65 + at);
    for (const p of points) grid[HIGH - 1 - y.place(p.ms)]![x.place(p.size)] = letter;
    told.push(`${letter} ${name}, slope ${slope(points).toFixed(2)}`);
  }
  const lines = grid.map((line, i) => `${edge(i, y)} | ${line.join('')}`);
  const foot = `${' '.repeat(10)} +-${'-'.repeat(WIDE)}`;
  const sizes = `${' '.repeat(13)}${x.least}${' '.repeat(WIDE - 10)}${x.most} props`;
  return [...lines, foot, sizes, ...told].join('\n');
}

interface Point {
  readonly size: number;
  readonly ms: number;
}

function seriesOf(rows: readonly Row[]): Map<string, Point[]> {
  const out = new Map<string, Point[]>();
  for (const r of rows) {
    const [, name, size] = /^growth: (.+) at (\d+) props$/.exec(r.work) ?? [];
    if (name !== undefined) out.set(name, [...(out.get(name) ?? []), { size: Number(size), ms: r.ours }]);
  }
  return out;
}

interface Scale {
  readonly least: number;
  readonly most: number;
  place(value: number): number;
}

function scale(values: readonly number[], steps: number): Scale {
  const least = Math.min(...values);
  const most = Math.max(...values);
  const span = Math.log(most / least) || 1;
  return { least, most, place: (v) => Math.round((Math.log(v / least) / span) * steps) };
}

const edge = (line: number, y: Scale): string =>
  (line === 0
    ? `${y.most.toPrecision(3)} ms`
    : line === HIGH - 1
      ? `${y.least.toPrecision(2)} ms`
      : ''
  ).padStart(10);

/** From the least to the largest size: log of the times over log of the sizes. */
function slope(points: readonly Point[]): number {
  const [a, b] = [points[0]!, points.at(-1)!];
  return Math.log(b.ms / a.ms) / Math.log(b.size / a.size);
}
