import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { runFleet } from './fleet.ts';
import { BLIND, type Edit, MUTANTS, type Mutant } from './mutants.ts';
import type { Breach } from './referee.ts';

/** A seed and what it saw. */
export interface Sight {
  readonly seed: number;
  readonly breach: Breach;
}

/** What became of a planted mistake. */
export interface Verdict {
  readonly mutant: Mutant;
  /** The first seed in which an invariant that it was planted for saw it; null where none did. */
  readonly killed: Sight | null;
  /** The first in which any other did. */
  readonly seenBy: Sight | null;
}

/** Where the built storm lies: this file's own root. */
const ROOT = new URL('../..', import.meta.url).pathname;
const PARTS = ['server', 'web', 'test'] as const;

/** The built storm once more with a mistake in it. Throws where an edit no longer finds its place. */
export function plant(mutant: Pick<Mutant, 'id' | 'edits'>): string {
  const home = join(ROOT, '..', 'storm-mutants', mutant.id);
  rmSync(home, { recursive: true, force: true });
  mkdirSync(home, { recursive: true });
  for (const part of PARTS) cpSync(join(ROOT, part), join(home, part), { recursive: true });
  for (const edit of [BLIND, ...mutant.edits]) apply(home, mutant.id, edit);
  return home;
}

export function uproot(id: string): void {
  rmSync(join(ROOT, '..', 'storm-mutants', id), { recursive: true, force: true });
}

function apply(home: string, id: string, edit: Edit): void {
  const path = join(home, edit.file);
  const text = readFileSync(path, 'utf8');
  let next: string;
  if ('find' in edit) next = text.replace(edit.find, () => edit.put);
  else {
    const head = new RegExp(`(^|\\n) *(export )?(function )?${edit.into}\\([^)]*\\) \\{\\n`);
    next = text.replace(head, (all) => `${all}${edit.put}\n`);
  }
  if (next === text)
    throw new Error(
      `mutant ${id}: ${edit.file} no longer holds ${'find' in edit ? edit.find : edit.into}; look at it anew`,
    );
  writeFileSync(path, next);
}

/** Runs seeds with the mistake in, one after another from the first, until an invariant that it was planted for sees it. */
export async function judge(mutant: Mutant, seeds: readonly number[]): Promise<Verdict> {
  const home = plant(mutant);
  const seen: { killed: Sight | null; seenBy: Sight | null } = { killed: null, seenBy: null };
  try {
    await runFleet({
      seeds,
      jobs: 1,
      worker: join(home, 'test/storm/seeds-worker.js'),
      onRun: ({ seed, breach }) => {
        if (!breach) return false;
        if (mutant.breaks.includes(breach.invariant)) seen.killed = { seed, breach };
        else seen.seenBy ??= { seed, breach };
        return seen.killed !== null;
      },
    });
  } finally {
    uproot(mutant.id);
  }
  return { mutant, ...seen };
}

/** One line of the table: the mistake, the invariants it was planted for, and which saw it after how many seeds. */
export function tellVerdict({ mutant, killed, seenBy }: Verdict, from: number): string {
  const what = `${mutant.id.padEnd(26)} ${mutant.breaks.join(' or ').padEnd(14)}`;
  const needed = ({ seed, breach }: Sight): string => `${breach.invariant} after ${seed - from + 1}`;
  const other = seenBy ? `; before that by ${needed(seenBy)}` : '';
  if (killed) return `${what} ${`killed by ${needed(killed)}`.padEnd(20)} ${mutant.about}${other}`;
  const by = seenBy ? `SEEN ONLY by ${needed(seenBy)}` : 'NOT SEEN';
  return `${what} ${by.padEnd(20)} ${mutant.about}${seenBy ? `: ${seenBy.breach.text.slice(0, 200)}` : ''}`;
}

export async function judgeAll(
  seeds: readonly number[],
  only: RegExp | null,
  jobs: number,
  say: (text: string) => void,
): Promise<Verdict[]> {
  const waiting = MUTANTS.filter((m) => !only || only.test(m.id));
  const verdicts: Verdict[] = [];
  const work = async (): Promise<void> => {
    for (let mutant = waiting.shift(); mutant; mutant = waiting.shift()) {
      const verdict = await judge(mutant, seeds);
      verdicts.push(verdict);
      say(tellVerdict(verdict, seeds[0]!));
    }
  };
  await Promise.all(Array.from({ length: jobs }, work));
  return verdicts;
}
