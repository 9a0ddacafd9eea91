import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Tally } from './tally.ts';

/** What one run of many seeds met; kept only where nothing failed. */
export interface Piece {
  readonly from: number;
  readonly to: number;
  readonly hours: number;
  readonly breaches: number;
  readonly weather: Readonly<Record<string, number>>;
  readonly faults: Readonly<Record<string, number>>;
}

/** The command runs in the root of the project. */
const PATH = join('test', 'storm', 'figures.json');

export function keptPieces(path = PATH): Piece[] {
  return existsSync(path) ? (JSON.parse(readFileSync(path, 'utf8')) as Piece[]) : [];
}

/** The first seed that no kept piece has run. */
export const nextSeed = (): number => Math.max(0, ...keptPieces().map((p) => p.to)) + 1;

export function keepPiece(from: number, tally: Tally): void {
  const sorted = (map: ReadonlyMap<string, number>) =>
    Object.fromEntries([...map].sort(([a], [b]) => (a < b ? -1 : 1)));
  const piece: Piece = {
    from,
    to: from + tally.seeds - 1,
    hours: Math.round(tally.simulatedMs / 360_000) / 10,
    breaches: tally.failed,
    weather: sorted(tally.weather),
    faults: sorted(tally.faults),
  };
  const all = [...keptPieces(), piece].sort((a, b) => a.from - b.from);
  writeFileSync(PATH, `${JSON.stringify(all, null, 2)}\n`);
}

export function tellKept(): string {
  const all = keptPieces();
  const sum = (of: (p: Piece) => number): number => all.reduce((n, p) => n + of(p), 0);
  const each = (map: Readonly<Record<string, number>>): number =>
    Object.values(map).reduce((n, v) => n + v, 0);
  const seeds = sum((p) => p.to - p.from + 1);
  const hours = Math.round(sum((p) => p.hours));
  const struck = sum((p) => each(p.weather));
  const raised = sum((p) => each(p.faults));
  return `kept so far: ${seeds} seeds, ${hours} h simulated, weather struck ${struck} times, ${raised} faults raised, ${sum((p) => p.breaches)} breaches`;
}
