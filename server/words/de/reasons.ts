import type { Sentences } from '../words.ts';
import { BARS } from './reasons/bars.ts';
import { DOINGS } from './reasons/doings.ts';
import { LIMITS } from './reasons/limits.ts';
import { RECORD } from './reasons/record.ts';
import { RUNS } from './reasons/runs.ts';

/** The groups, for the test that no code stands in two of them. */
export const GROUPS = [BARS, LIMITS, DOINGS, RUNS, RECORD] as const;

/** A sentence for every code. A code without one is a type error here: add its line to the group it belongs to. */
export const SENTENCES: Omit<Sentences, 'lockout-raised'> = {
  ...BARS,
  ...LIMITS,
  ...DOINGS,
  ...RUNS,
  ...RECORD,
};
export const OF_SCENE: ReadonlySet<string> = new Set(Object.keys(RUNS));
