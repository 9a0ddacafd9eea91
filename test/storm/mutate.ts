import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { BLIND, type Edit, MUTANTS, type Mutant } from './mutants.ts';
import type { Breach } from './referee.ts';

/** What became of a planted mistake. */
export interface Verdict {
  readonly mutant: Mutant;
  /** The seed that saw it; null where none did. */
  readonly seed: number | null;
  readonly breach: Breach | null;
  /** Seen, and by an invariant that it was planted for. */
  readonly killed: boolean;
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

/** Runs seeds with the mistake in, from the first, until one sees it. */
export async function judge(mutant: Mutant, seeds: readonly number[]): Promise<Verdict> {
  const home = plant(mutant);
  try {
    const found = await firstBreach(home, seeds);
    const killed = found !== null && mutant.breaks.includes(found.breach.invariant);
    return { mutant, seed: found?.seed ?? null, breach: found?.breach ?? null, killed };
  } finally {
    uproot(mutant.id);
  }
}

function firstBreach(
  home: string,
  seeds: readonly number[],
): Promise<{ seed: number; breach: Breach } | null> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(join(home, 'test/storm/seeds-worker.js'), { workerData: seeds });
    worker.once('message', (found: { seed: number; breach: Breach } | null) => {
      resolve(found);
      void worker.terminate();
    });
    worker.once('error', reject);
  });
}

export function tellVerdict({ mutant, seed, breach, killed }: Verdict): string {
  const named = mutant.breaks.join(' or ');
  const what = `${mutant.id.padEnd(26)} ${named.padEnd(12)}`;
  if (!breach) return `${what} NOT SEEN  ${mutant.about}`;
  const by = `${killed ? 'killed' : 'SEEN ONLY'} by ${breach.invariant} at seed ${seed}`;
  return `${what} ${by.padEnd(26)} ${mutant.about}${killed ? '' : `: ${breach.text.slice(0, 200)}`}`;
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
      say(tellVerdict(verdict));
    }
  };
  await Promise.all(Array.from({ length: jobs }, work));
  return verdicts;
}
