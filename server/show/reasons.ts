import type { Need } from '../yard/types.ts';

/**
 * Every 'why' the core can give, as a code with its figures. The sentences live in `words/`; adding a code here
 * without a sentence there is a type error. Times are on the desk's axis, ms; currents A; pressures kPa gauge.
 */
export interface Reasons {
  // why a run, a move or a command can't be now
  mode: { mode: Mode };
  stopped: { stop: number };
  'already-open': { mode: Mode };
  'nothing-to-clear': object;
  'station-in': { prop: string };
  'station-silent': { prop: string };
  /** From the desk's start until each station has been heard, 10 s at most. */
  'station-not-heard': { prop: string };
  'newer-trouble': { prop: string | null };
  'no-bus': object;
  'stands-down': { desk: string };
  'record-failing': { why: string };
  'outside-hours': object;
  'no-night': object;
  'locked-out': { prop: string; fault: FaultCode };
  'not-locked-out': { prop: string };
  'still-contradicts': { prop: string; sensors: readonly string[] };
  'follows-other': { prop: string; first: string };
  'two-boards-still': { prop: string };
  silent: { prop: string };
  'position-unknown': { prop: string };
  'not-at-home': { prop: string };
  'no-homing-move': { prop: string };
  'set-aside': { prop: string; why: Reason | null };
  'too-soon-after-link': { prop: string; forMs: number };
  held: { prop: string; scene: string };
  moving: { prop: string; move: string };
  /** A stop or another desk came between, and its board has not said since that it let go of this move. */
  'not-let-go': { prop: string; move: string };
  /** It must answer the stop before it can be released. */
  'not-answered': { prop: string };
  rests: { prop: string; forMs: number };
  need: {
    prop: string;
    move: string;
    need: Need;
    seen: 'not-made' | 'made' | 'unknown' | 'moving' | 'silent' | 'away';
  };
  /** Another move needs this prop to stay where it is. */
  'needed-there': { prop: string; by: string; move: string };
  circuit: { circuit: string; amps: number; limitAmps: number };
  surge: { circuit: string; amps: number; breakerAmps: number };
  tank: { tank: string; kpa: number; workingKpa: number };
  zone: { zone: string; atMost: number };
  'zone-gap': { zone: string; forMs: number };
  duty: { prop: string; on: number; overMs: number };
  quiet: { atMs: number };
  close: { atMs: number };
  'scene-running': { scene: string };
  'scene-rests': { scene: string; forMs: number };
  'again-after': { scene: string; forMs: number };
  'too-late': { plannedMs: number; lateMs: number };
  'night-ended': object;
  /** The yard computer started anew in the middle of it. */
  restarted: object;
  'desk-silent': object;
  /** The plan could not keep it after something moved. */
  'mended-away': object;
  'unknown-move': { prop: string; move: string };
  'station-cannot': { prop: string };
  // what the whole yard does or waits for
  /** Notice is given; until then nothing moves. */
  'opening-notice': { atMs: number };
  'opening-homes': { props: readonly string[] };
  /** Held since the yard computer came back: the moment it did. */
  'held-restart': { atMs: number };
  /** Who stopped it: a person's name, `page`, `station ID pressed`, `board ID`, `desk WORD`, `dead-halt ID`. */
  'stop-by': { by: string };
  // what a prop does or waits for
  'at-rest': { prop: string; at: string | null };
  'moves-now': { prop: string; move: string; sinceMs: number; limitMs: number };
  'asked-to-move': { prop: string; move: string };
  halting: { prop: string };
  'waits-for-step': { prop: string; scene: string };
  /** A later step of a run waits for its need or limit, at most 10 s. */
  waits: { prop: string; move: string; sinceMs: number; limitMs: number; for: Reason };
  homing: { prop: string };
  'waits-to-home': { prop: string; for: Reason | null };
  'never-heard': { prop: string };
  // what became of runs
  'run-done': { tookMs: number } & Journeys;
  'run-failed': { prop: string; fault: FaultCode } & Journeys;
  'run-abandoned': { for: Reason } & Journeys;
  'run-stopped': { stop: number } & Journeys;
  'run-unplanned': object;
  'run-skipped': { plannedMs: number; for: Reason };
  'tidy-passed-over': { prop: string; move: string; for: Reason };
  'trigger-refused': { prop: string; sensor: string; for: Reason };
  'asked-refused': { for: Reason };
  'board-refused': { prop: string; why: string } & Journeys;
  // lines of the record
  'stop-pressed': { by: string; stop: number };
  'stop-answered': { controller: string; afterMs: number };
  'stop-cleared': { by: string; stop: number };
  /** `night` where the yard opens: the night that it opens for. */
  'mode-now': { mode: Mode; by: string; night?: string };
  'opening-waits': { for: readonly Reason[] };
  'run-started': { origin: Origin };
  'lockout-raised': { fault: Fault };
  'lockout-released': { by: string; fault: FaultCode };
  acknowledged: { by: string; fault: FaultCode };
  'link-up': { controller: string; session: string };
  'link-down': { controller: string; sinceMs: number };
  homed: { prop: string };
  'desk-started': { epoch: number; mode: Mode };
  'stood-down': { desk: string; epoch: number };
  'stood-up': { epoch: number };
  'clock-stepped': { byMs: number };
  'plan-drawn': { night: string; runs: number };
  'plan-mended': { runs: number };
  'yard-changed': { by: string; changes: number };
  'bench-moved': { by: string; prop: string; move: string };
  'loop-stalled': { forMs: number };
  'readings-lost': { dropped: number };
  'service-due': { prop: string; cycles: number };
  'drift-over': { prop: string; move: string };
}

/** A whole journey from one end to another, timed: prop, move, ms. */
export type Journey = readonly [prop: string, move: string, tookMs: number];

/** The line of a run's end bears its journeys, so that the record has every travel time without lines of their own. */
export interface Journeys {
  journeys?: readonly Journey[];
}

export type ReasonCode = keyof Reasons;
export type Reason = { [C in ReasonCode]: { readonly code: C } & Readonly<Reasons[C]> }[ReasonCode];
export type ReasonOf<C extends ReasonCode> = Extract<Reason, { code: C }>;
/** What a run that began can end with. */
export type RunEnd = ReasonOf<'run-done' | 'run-failed' | 'run-abandoned' | 'run-stopped' | 'board-refused'>;

export type Mode = 'closed' | 'opening' | 'open' | 'held' | 'closing' | 'stopped';
export type Origin = 'plan' | 'trigger' | 'hand' | 'homing' | 'bench' | 'notice';

export const FAULT_CODES = [
  'travel-slow',
  'no-departure',
  'travel-short',
  'both-ends',
  'end-lost',
  'chatter',
  'interlock-lost',
  'overrun',
  'no-answer',
  'refused',
  'failed',
  'link-lost',
  'stray-move',
  'two-boards',
  'dead-halt',
  'drift',
  'by-hand',
] as const;
export type FaultCode = (typeof FAULT_CODES)[number];

/** A fault as it was raised: the figures that its text needs. */
export interface Fault {
  readonly code: FaultCode;
  readonly prop: string;
  /** When, on the desk's axis, ms. */
  readonly at: number;
  readonly move?: string;
  /** The sensor that should have been made, or that went away. */
  readonly sensor?: string;
  /** The end it left, or the other end that is made. */
  readonly other?: string;
  /** When it left that end. */
  readonly leftAt?: number;
  readonly tookMs?: number;
  readonly usualMs?: number;
  readonly limitMs?: number;
  readonly edges?: number;
  /** The board's own word, or a person's reason. */
  readonly why?: string;
  readonly need?: Need;
  readonly controllers?: readonly string[];
  /** `link-lost`: how many in the last ten minutes. */
  readonly times?: number;
  /** `drift`: nights left before the limit at the present rate. */
  readonly nights?: number;
  /** The prop under whose fault this one is grouped and with which it is released. */
  readonly first?: string;
}
