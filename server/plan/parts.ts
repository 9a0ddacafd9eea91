import type { PlanScene, Problem } from './problem.ts';

/** A share of the problem that has nothing to do with the rest. `whole[i]` is the index of its scene i in the whole. */
export interface Part {
  readonly problem: Problem;
  readonly whole: readonly number[];
}

/** The rules that a scene has to do with, each under a name of its own. */
export function rulesOf(s: PlanScene): string[] {
  return [
    ...s.uses.map((u) => `shared ${u.shared}`),
    ...s.duties.map((d) => `duty ${d.duty}`),
    ...s.draws.map((d) => `tank ${d.tank}`),
    ...s.stands.map((x) => `watched ${x.watched}`),
  ];
}

/** Splits the problem into parts that share no rule that can bind, in the order of their first scenes. */
export function partsOf(problem: Problem): Part[] {
  const scenes = binding(problem);
  const parent = scenes.map((_, i) => i);
  const rootOf = (i: number): number => {
    let root = i;
    while (parent[root] !== root) root = parent[root]!;
    for (let k = i; parent[k] !== root; ) [k, parent[k]] = [parent[k]!, root];
    return root;
  };
  const first = new Map<string, number>();
  for (const s of scenes)
    for (const rule of rulesOf(s)) {
      const other = first.get(rule);
      if (other === undefined) first.set(rule, s.index);
      else parent[Math.max(rootOf(other), rootOf(s.index))] = Math.min(rootOf(other), rootOf(s.index));
    }
  const members = new Map<number, number[]>();
  for (const s of scenes) {
    const list = members.get(rootOf(s.index));
    if (list) list.push(s.index);
    else members.set(rootOf(s.index), [s.index]);
  }
  return [...members.values()].map((whole) => ({ problem: partOf({ ...problem, scenes }, whole), whole }));
}

/** The scenes without what they take of rules that have room for all of them at once, whenever they run. */
function binding({ scenes, shared }: Problem): readonly PlanScene[] {
  const most = shared.map(() => 0);
  for (const s of scenes)
    for (const u of s.uses) {
      // Where it fills a rule beyond its own next start (a zone's gap), so many of its runs count at once.
      const atOnce = Math.ceil(Math.max(...u.to) / s.spacingMs);
      most[u.shared]! += atOnce * Math.max(...u.amount);
    }
  return scenes.map((s) => ({ ...s, uses: s.uses.filter((u) => most[u.shared]! > shared[u.shared]!.room) }));
}

/** The problem of some of the scenes, with only the rules they touch, all numbered anew. */
function partOf(problem: Problem, whole: readonly number[]): Problem {
  const shared = new Numbering(problem.shared);
  const duties = new Numbering(problem.duties);
  const tanks = new Numbering(problem.tanks);
  const watched = new Numbering(problem.watched);
  const scenes = whole.map((at, index): PlanScene => {
    const s = problem.scenes[at]!;
    return {
      ...s,
      index,
      uses: s.uses.map((u) => ({ ...u, shared: shared.of(u.shared) })),
      duties: s.duties.map((d) => ({ ...d, duty: duties.of(d.duty) })),
      draws: s.draws.map((d) => ({ ...d, tank: tanks.of(d.tank) })),
      stands: s.stands.map((x) => ({ ...x, watched: watched.of(x.watched) })),
    };
  });
  return {
    windowMs: problem.windowMs,
    scenes,
    shared: shared.kept,
    duties: duties.kept,
    tanks: tanks.kept,
    watched: watched.kept,
  };
}

class Numbering<T> {
  readonly kept: T[] = [];
  private readonly all: readonly T[];
  private readonly numbers = new Map<number, number>();

  constructor(all: readonly T[]) {
    this.all = all;
  }

  of(index: number): number {
    const known = this.numbers.get(index);
    if (known !== undefined) return known;
    this.numbers.set(index, this.kept.length);
    this.kept.push(this.all[index]!);
    return this.kept.length - 1;
  }
}
