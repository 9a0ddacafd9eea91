import type { Limits } from './bound.ts';
import { type PlanScene, type Problem, sizeOf, worthWanted } from './problem.ts';
import { inOrder } from './round.ts';
import { packed } from './simplex.ts';

/** Scenes that can play together, over and over, and for how long of the night in all. */
export interface Pattern {
  /** Indices of the scenes, ascending. */
  readonly scenes: readonly number[];
  readonly ms: number;
}

/** How the night is best divided among patterns, and how many runs of each scene that makes, fractions allowed. */
export interface Mix {
  /** For each stretch of the night (until the loud scenes must be silent, and after) its patterns, each near the next. */
  readonly rounds: readonly (readonly Pattern[])[];
  readonly runs: readonly number[];
}

/** With more patterns than this only some are looked at, drawn by chance. */
const PATTERNS = 400;

/** What the level counts against all runs together, so that it is settled first. */
const LEVEL_FIRST = 1000;

/**
 * What a division among patterns costs, in rules asked: about. The simplex method takes the more steps the more rows
 * there are, each step through the whole tableau.
 */
export function mixingCost(problem: Problem): number {
  const scenes = problem.scenes.length;
  const rows = 2 * scenes + problem.shared.length;
  return Math.max(500, (rows ** 3 * (scenes + PATTERNS)) / 35_000);
}

/** The patterns of a problem: without the last where nobody must be silent. */
export interface Palette {
  readonly able: readonly PlanScene[];
  readonly stretches: readonly { readonly ms: number; readonly patterns: readonly (readonly number[])[] }[];
}

export function paletteOf(problem: Problem, limits: Limits, chance: () => number): Palette {
  const able = problem.scenes.filter((s) => s.wanted > 0 && limits.most[s.index]! >= 1);
  const quietMs = silentFrom(problem, able);
  return {
    able,
    stretches: [
      { ms: quietMs, ids: able.map((s) => s.index) },
      { ms: problem.windowMs - quietMs, ids: able.filter((s) => !early(s)).map((s) => s.index) },
    ]
      .filter((stretch) => stretch.ms > 0)
      .map(({ ms, ids }) => ({ ms, patterns: patternsOf(problem, ids, chance) })),
  };
}

/**
 * Divides the night among patterns: the greatest level, then the greatest worth, that no more than the scenes of one
 * pattern at a time allow. Sums over the night (amperes × hours) can't see that 3 A and 3 A don't fit in 5 A; this
 * can. It is what cutting stock is to filling it by weight (Gilmore and Gomory 1961), with time for the stock.
 * @param limits whole runs in `most`
 * @param slow by scene, how many times as long as it is a run is reckoned; 1 without it
 */
export function mixOf(
  problem: Problem,
  limits: Limits,
  { able, stretches }: Palette,
  slow: readonly number[] = [],
): Mix {
  const { scenes } = problem;
  const found = stretches.map((stretch) => stretch.patterns);
  const n = scenes.length;
  const first = found.map((_, h) => n + 1 + found.slice(0, h).reduce((sum, list) => sum + list.length, 0));
  const size = n + 1 + found.reduce((sum, list) => sum + list.length, 0);

  // Variables, all of about one size: each scene's runs beyond its share of the level over what it wants, the level,
  // each pattern's share of its stretch.
  const worth = new Array<number>(size).fill(0);
  const most = new Array<number>(size).fill(Infinity);
  const total = worthWanted(problem);
  for (const s of able) {
    worth[s.index] = (s.weight * s.wanted) / total;
    most[s.index] = limits.most[s.index]! / s.wanted;
  }
  const heaviest = able.reduce((w, s) => Math.max(w, s.weight), 0);
  worth[n] = LEVEL_FIRST;
  most[n] = heaviest > 0 ? Math.min(1, 1 / heaviest) : 0;
  type Row = { takes: [number, number][]; room: number };
  const rows: Row[] = found.map((list, h) => ({
    takes: list.map((_, k): [number, number] => [first[h]! + k, 1]),
    room: 1,
  }));
  for (const s of able) {
    const busy = ((slow[s.index] ?? 1) * s.spacingMs * s.wanted) / problem.windowMs;
    const takes: [number, number][] = [
      [s.index, busy],
      [n, busy * s.weight],
    ];
    found.forEach((list, h) => {
      list.forEach((ids, k) => {
        if (ids.includes(s.index)) takes.push([first[h]! + k, -stretches[h]!.ms / problem.windowMs]);
      });
    });
    rows.push({ takes, room: 0 });
    rows.push({
      takes: [
        [s.index, 1],
        [n, s.weight],
      ],
      room: most[s.index]!,
    });
  }
  for (const row of limits.rows) {
    const takes = row.takes.map(([i, a]): [number, number] => [i, (a * scenes[i]!.wanted) / row.room]);
    const level = takes.reduce((sum, [i, a]) => sum + a * scenes[i]!.weight, 0);
    rows.push({ takes: [...takes, [n, level]], room: 1 });
  }
  const x = packed({ worth, most, rows });
  return {
    runs: scenes.map((s) => (able.includes(s) ? s.wanted * (x[s.index]! + x[n]! * s.weight) : 0)),
    rounds: stretches.map(({ ms, patterns }, h) => {
      const played = patterns.map((ids, k) => ({ scenes: ids, ms: ms * x[first[h]! + k]! }));
      return inOrder(
        played.filter((p) => p.ms > 1),
        (i) => sizeOf(problem, scenes[i]!) * scenes[i]!.lengthMs,
      );
    }),
  };
}

function early(s: PlanScene): boolean {
  return s.lastMs < s.lastByCloseMs;
}

/** When the last loud scene must have ended; the night's end where none need be. */
function silentFrom(problem: Problem, scenes: readonly PlanScene[]): number {
  const loud = scenes.filter(early);
  if (loud.length === 0) return problem.windowMs;
  return Math.min(problem.windowMs, Math.max(...loud.map((s) => s.lastMs + s.lengthMs)));
}

/** The most that a scene takes of each shared rule, and the most while it goes on: only a surge is above that. */
interface Taking {
  readonly most: Float64Array;
  readonly steady: Float64Array;
}

function takingOf(problem: Problem, s: PlanScene): Taking {
  const most = new Float64Array(problem.shared.length);
  const steady = new Float64Array(problem.shared.length);
  for (const use of s.uses) {
    most[use.shared] = use.amount.reduce((a, b) => Math.max(a, b), 0);
    const long = use.amount.filter((_, k) => use.to[k]! - use.from[k]! > s.lengthMs / 10);
    steady[use.shared] = long.reduce((a, b) => Math.max(a, b), 0);
  }
  return { most, steady };
}

/**
 * All sets of scenes that can play together and to which no other can be added; a share of them where there are
 * many. Each of them can start while the others go on.
 */
function patternsOf(problem: Problem, ids: readonly number[], chance: () => number): number[][] {
  const takings = problem.scenes.map((s) => takingOf(problem, s));
  const rooms = problem.shared.map((r) => r.room);
  const sum = new Float64Array(rooms.length);
  const set: number[] = [];
  const fits = (i: number) => {
    const { most, steady } = takings[i]!;
    return rooms.every((room, r) => {
      if (most[r] === 0) return true;
      if (sum[r]! + most[r]! > room) return false;
      return set.every((j) => sum[r]! - takings[j]!.steady[r]! + takings[j]!.most[r]! + steady[r]! <= room);
    });
  };
  const take = (i: number, sign: 1 | -1) => {
    const { steady } = takings[i]!;
    for (let r = 0; r < rooms.length; r++) sum[r]! += sign * steady[r]!;
    if (sign > 0) set.push(i);
    else set.pop();
  };
  const found: number[][] = [];
  const walk = (k: number): boolean => {
    if (found.length > PATTERNS) return false;
    if (k === ids.length) {
      if (set.length > 0 && ids.every((i) => set.includes(i) || !fits(i))) found.push([...set]);
      return true;
    }
    const i = ids[k]!;
    if (fits(i)) {
      take(i, 1);
      const on = walk(k + 1);
      take(i, -1);
      if (!on) return false;
    }
    return walk(k + 1);
  };
  if (ids.length <= 14 && walk(0)) return found;
  return drawn(ids, fits, take, set, chance);
}

/** Patterns filled up in orders drawn by chance. */
function drawn(
  ids: readonly number[],
  fits: (i: number) => boolean,
  take: (i: number, sign: 1 | -1) => void,
  set: number[],
  chance: () => number,
): number[][] {
  const known = new Map<string, number[]>();
  for (let k = 0; k < PATTERNS; k++) {
    const order = ids.map((i) => ({ i, key: chance() })).sort((a, b) => a.key - b.key);
    for (const { i } of order) if (fits(i)) take(i, 1);
    const pattern = [...set].sort((a, b) => a - b);
    while (set.length > 0) take(set[set.length - 1]!, -1);
    if (pattern.length > 0) known.set(pattern.join(' '), pattern);
  }
  return [...known.values()];
}
