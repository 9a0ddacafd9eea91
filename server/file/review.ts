import type { Yard } from '../yard/types.ts';
import { reviewAir } from './review-air.ts';
import { reviewCircuits } from './review-circuits.ts';
import { reviewProps } from './review-props.ts';
import { reviewWhole } from './review-whole.ts';

/** What `dusklatch check` says of a yard that reads well. A warning is something to change or to know; none blocks. */
export interface Finding {
  readonly level: 'note' | 'warning';
  readonly code: FindingCode;
  readonly text: string;
  readonly circuit?: string;
  readonly tank?: string;
  readonly zone?: string;
  readonly prop?: string;
  readonly scene?: string;
}

export type FindingCode =
  | 'no-station'
  | 'loopback'
  | 'long-silence'
  | 'restarts-by-itself'
  | 'loud-without-quiet'
  | 'old-time-zones'
  | 'circuit'
  | 'tight-circuit'
  | 'circuit-overbooked'
  | 'above-80'
  | 'compressor-start'
  | 'voltage-drop'
  | 'tank'
  | 'tank-overbooked'
  | 'tank-may-stick'
  | 'stored-air'
  | 'zone'
  | 'zone-overbooked'
  | 'duty'
  | 'duty-overbooked'
  | 'prop-overbooked'
  | 'scene-too-often'
  | 'cannot-stop-itself'
  | 'no-home'
  | 'wide-limit'
  | 'drive'
  | 'drive-differs';

/**
 * Reviews a yard on its circuits, its air, its duties, its zones and its bus: sums over what the file aims at, before any
 * plan is drawn up. Pure but for the release of the time-zone table that this Node carries.
 */
export function reviewYard(yard: Yard): Finding[] {
  return [...reviewWhole(yard), ...reviewCircuits(yard), ...reviewAir(yard), ...reviewProps(yard)];
}
