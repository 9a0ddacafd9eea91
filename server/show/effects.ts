import type { Reason } from './reasons.ts';

/** Orders to the desk, in the imperative. It performs stops first, and drops every `startMove` of a turn that stops. */
export type Effect =
  | StartMove
  | { readonly kind: 'haltProp'; readonly prop: string; readonly why: string }
  /** Publish `stop` latched; the first of a number also goes to the small file, after it has gone out. */
  | { readonly kind: 'sendStop'; readonly stop: number; readonly repeat: boolean }
  /** Write the number to the small file, then publish `stop` with `latched:false`. */
  | { readonly kind: 'clearStop'; readonly stop: number }
  | { readonly kind: 'announce' }
  | { readonly kind: 'giveNotice'; readonly inMs: number }
  /** Publish `desk` again: on connecting, or over a late will of our own. */
  | { readonly kind: 'publishDesk' }
  /** Raise the epoch above this on disk and come back with `epochTaken`. */
  | { readonly kind: 'takeEpoch'; readonly above: number }
  /** Mend what is left of tonight's plan. */
  | { readonly kind: 'mendPlan' }
  /** What the asker is told. */
  | { readonly kind: 'answer'; readonly refused: readonly Reason[] }
  /** A line for the record that people read. */
  | { readonly kind: 'record'; readonly entry: Entry };

export interface StartMove {
  readonly kind: 'startMove';
  readonly prop: string;
  readonly run: string;
  readonly step: number;
  readonly move: string;
  readonly session: string;
  readonly limitMs: number;
  /** Present where the move is timed. */
  readonly lastsMs?: number;
}

/** One line of the record. `prop`, `scene`, `run` say what it is about, where it is about one. */
export interface Entry {
  readonly reason: Reason;
  readonly prop?: string;
  readonly scene?: string;
  readonly run?: string;
}
