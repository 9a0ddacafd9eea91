import type { Chance } from '../chance.ts';
import type { Storm } from '../storm.ts';

/** One kind of weather: how often it comes while the storm is at its usual strength, and what it does. */
export interface Weather {
  readonly name: string;
  readonly perHour: number;
  /** It is there from the beginning or not at all: in this share of the nights that have it. */
  readonly atFirst?: number;
  /** False where this yard can't have it. */
  readonly fits?: (storm: Storm) => boolean;
  /** Weather without which this one shows nothing: what it is held together with where it is asked alone. */
  readonly besides?: readonly string[];
  /** Answers false where there was nothing to strike just then. */
  strike(storm: Storm, chance: Chance): unknown;
}

export const SECOND = 1000;
export const MINUTE = 60_000;
