import type { Fault } from '../show/reasons.ts';
import type { Words } from './words.ts';

/**
 * All that is said about one kind of fault. What stands in `causes` and `checks` about motors, belts, sensors, air,
 * supplies and Wi-Fi is common practice of the trade, without a published source.
 */
export interface FaultWords {
  /** What was expected and seen, with figures and times, in whole sentences; without the prop's title in front. */
  readonly seen: (fault: Fault, words: Words) => string;
  /** Two or three things to look at, in order, after 'Look': `for a jam, then at the belt`. */
  readonly look: (fault: Fault, words: Words) => string;
  /** Likely causes, the likeliest first. */
  readonly causes: (fault: Fault) => readonly string[];
  /** What to look at, the quickest and likeliest first. */
  readonly checks: (fault: Fault) => readonly string[];
  readonly releaseWill: string;
  readonly releaseWont: string;
  readonly page: FaultPageText;
}

/** What only the page of a fault says, in whole sentences. */
export interface FaultPageText {
  /** What happened, in the words of somebody standing next to it. */
  readonly means: string;
  /** The rule by which the yard computer decides it, with its numbers. */
  readonly rule: string;
  /** What the yard does about it by itself. */
  readonly now: string;
  /** How to find the cause, a paragraph each. */
  readonly find: readonly string[];
  /** How to keep it from coming again. */
  readonly prevent: string;
}
