import type { Block } from './blocks.ts';
import type { Limits } from './bound.ts';
import { type PlanScene, type Problem, worthWanted } from './problem.ts';
import type { Packing } from './simplex.ts';

/** What is to be divided among what. */
export interface Dividing {
  readonly problem: Problem;
  /** Whole runs in `most`. */
  readonly limits: Limits;
  /** The scenes that the blocks are for. */
  readonly able: readonly PlanScene[];
  readonly stretches: readonly { readonly ms: number; readonly blocks: readonly Block[] }[];
  /** What a scene is owed for each unit of the level. */
  readonly owedAt: (scene: PlanScene) => number;
  /** By scene, how many times as long as it is a run is reckoned. */
  readonly slow: readonly number[];
  /** How many times as long as it is the night is reckoned. */
  readonly room: number;
  /** How much of what would be even each stretch must give the scenes that play in all; 0: nothing. */
  readonly spread: number;
}

interface Row {
  readonly takes: [variable: number, amount: number][];
  readonly room: number;
}

/** What the level counts against all runs together, so that it is settled first. */
const LEVEL_FIRST = 1000;

/** Its loud moves must end before the night does. */
export function early(s: PlanScene): boolean {
  return s.lastMs < s.lastByCloseMs;
}

/**
 * The division of the night as a linear programme. Variables, all of about one size: each scene's runs beyond its share
 * of the level over what it wants, the level, each block's share of its stretch. Rows, in this order: each stretch; for
 * each scene, that blocks give the time that its runs take; that none has more than it can; the sums over the night; and
 * what each stretch must give at least.
 */
export function programmeOf({
  problem,
  limits,
  able,
  stretches,
  owedAt,
  slow,
  room,
  spread,
}: Dividing): Packing {
  const { scenes, windowMs } = problem;
  const level = scenes.length;
  let size = level + 1;
  const blocks = stretches.flatMap(({ ms, blocks }, h) =>
    blocks.map((block) => ({ column: size++, h, given: givenBy(problem, block, ms) })),
  );
  const worth = new Array<number>(size).fill(0);
  const most = new Array<number>(size).fill(Infinity);
  most.fill(0, 0, level);
  const total = worthWanted(problem);
  for (const s of able) {
    worth[s.index] = (s.weight * s.wanted) / total;
    most[s.index] = limits.most[s.index]! / s.wanted;
  }
  const heaviest = able.reduce((w, s) => Math.max(w, owedAt(s)), 0);
  worth[level] = LEVEL_FIRST;
  most[level] = heaviest > 0 ? Math.min(1, 1 / heaviest) : 0;

  /** So much for each unit of what a scene wants, whether by the level or beyond it. */
  const ofScene = (s: PlanScene, amount: number): Row['takes'] => [
    [s.index, amount],
    [level, amount * owedAt(s)],
  ];
  const nights = stretches.map((_, h): Row => {
    const takes = blocks.filter((b) => b.h === h).map((b): [number, number] => [b.column, 1]);
    return { takes, room };
  });
  const givenIn = (s: PlanScene, h: number | null) =>
    blocks.flatMap((b): Row['takes'] => {
      const given = h === null || b.h === h ? b.given.get(s.index) : undefined;
      return given === undefined ? [] : [[b.column, -given]];
    });
  const owns = able.map((s): Row => {
    const busy = (slow[s.index]! * s.spacingMs * s.wanted) / windowMs;
    return { takes: [...ofScene(s, busy), ...givenIn(s, null)], room: 0 };
  });
  const caps = able.map((s): Row => ({ takes: ofScene(s, 1), room: most[s.index]! }));
  const seen = new Set(able.map((s) => s.index));
  const sums = limits.rows.map((row): Row => {
    const takes = row.takes
      .filter(([i]) => seen.has(i))
      .map(([i, a]): [number, number] => [i, (a * scenes[i]!.wanted) / row.room]);
    const sum = takes.reduce((sum, [i, a]) => sum + a * owedAt(scenes[i]!), 0);
    return { takes: [...takes, [level, sum]], room: 1 };
  });
  const spreading = (spread > 0 ? stretches : []).flatMap(({ ms }, h) =>
    able
      .filter((s) => !early(s))
      .map((s): Row => {
        const due = (spread * ms * s.spacingMs * s.wanted) / windowMs ** 2;
        return { takes: [...ofScene(s, due), ...givenIn(s, h)], room: 0 };
      }),
  );
  return { worth, most, rows: [...nights, ...owns, ...caps, ...sums, ...spreading] };
}

/** By scene, the share of the night that its runs in a block take, were the block alone to fill its stretch. */
function givenBy({ scenes, windowMs }: Problem, block: Block, ms: number): ReadonlyMap<number, number> {
  const given = new Map<number, number>();
  for (const { scene } of block.runs)
    given.set(scene, (given.get(scene) ?? 0) + (scenes[scene]!.spacingMs * ms) / (block.ms * windowMs));
  return given;
}
