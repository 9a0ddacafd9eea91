import type { Examiner } from './examiner.ts';

/** What a check came to: null where the duty was kept, else what was seen instead, or why it could not be tried. */
export type Finding = null | string | { readonly notTried: string };

/** One thing that a controller owes, and how it is found out. */
export interface Check {
  readonly id: string;
  /** Number of the duty in the contract, 1 to 8. */
  readonly duty: 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;
  readonly title: string;
  /** What it means for the yard where this is broken. */
  readonly means: string;
  /** Whether a prop moves if all is well. */
  readonly moves: boolean;
  readonly run: (x: Examiner, power: (() => Promise<void>) | null) => Promise<Finding>;
}

export const notTried = (why: string): Finding => ({ notTried: why });

export const NOTHING_TO_MOVE = notTried(
  'none of its props has a move that may be tried from where they stand',
);
