import type { NightTimes, PlannedStart } from '../plan/tonight.ts';

export type { PlannedStart } from '../plan/tonight.ts';

/**
 * What has happened, in the past tense. The desk numbers and stamps each; the core takes them one by one.
 * Everything here is plain JSON, since the journal keeps it and a replay reads it back.
 */
export interface Stamp {
  /** Number of the event in the life of the yard, from 1. */
  readonly n: number;
  /** The desk's own axis, ms: starts as ms since 1970 and then follows the monotonic clock alone. */
  readonly at: number;
  /**
   * Taken before this start was recorded, by a desk that waits for the bus or for another desk to go: the state is that
   * of before the restart. Stops and clears count; nobody is judged by it, and nothing follows from it.
   */
  readonly waits?: true;
}

export type Event = Stamp & Fact;

export type Fact = BusFact | PersonFact | DeskFact;

/** From the bus: parsed, of a known controller, prop and sensor; retained `do` and `did` never get here. */
export type BusFact =
  | { readonly kind: 'busConnected' }
  | { readonly kind: 'busLost' }
  | {
      readonly kind: 'linkHeard';
      readonly controller: string;
      readonly up: true;
      readonly session: string;
      readonly first: string;
      readonly props: readonly string[];
      readonly stop: number;
      readonly epoch: number;
      readonly retained: boolean;
      readonly firmware?: string;
    }
  | {
      readonly kind: 'linkHeard';
      readonly controller: string;
      readonly up: false;
      /** The `first` of the connection whose will this is. */
      readonly session: string;
      readonly retained: boolean;
    }
  /** The beats since the last turn, folded: controller, session, when the last one came. */
  | { readonly kind: 'beatsHeard'; readonly beats: readonly (readonly [string, string, number])[] }
  | {
      readonly kind: 'stoppedHeard';
      readonly controller: string;
      readonly stop: number;
      readonly session: string;
      readonly safe: boolean;
    }
  | {
      readonly kind: 'moveReported';
      readonly prop: string;
      readonly run: string;
      readonly step: number;
      readonly move: string;
      readonly is: 'started' | 'done' | 'refused' | 'failed' | 'halted';
      readonly session: string;
      readonly why?: string;
      /** Present where done. */
      readonly ms?: number;
    }
  | {
      readonly kind: 'sensorChanged';
      readonly prop: string;
      readonly sensor: string;
      readonly made: boolean;
      readonly session: string;
      /** The board's own count of this sensor's edges. */
      readonly count: number;
      readonly retained: boolean;
    }
  | {
      readonly kind: 'stopHeard';
      readonly latched: boolean;
      readonly stop: number;
      readonly desk: string;
      readonly epoch: number;
    }
  /** Another desk's `desk` or `heartbeat`; our own word never gets here, save a late will of ours (`up` false). */
  | {
      readonly kind: 'deskHeard';
      readonly desk: string;
      readonly epoch: number;
      readonly up: boolean;
      readonly by: 'desk' | 'heartbeat';
      readonly retained: boolean;
    };

/** What a person did. `by` names how: a person's name, `page`, `http`. */
export type PersonFact =
  | { readonly kind: 'stopPressed'; readonly by: string }
  /** `seen` is the last `seq` of the picture that the person saw; null where none was wanted. */
  | { readonly kind: 'clearAsked'; readonly by: string; readonly seen: number }
  | {
      readonly kind: 'openAsked';
      readonly by: string;
      /** False: open with nothing planned. */
      readonly planned: boolean;
      /** A night made by hand (`for`), or the file's where the desk holds another; null inside tonight's hours. */
      readonly night: NightTimes | null;
    }
  | { readonly kind: 'holdAsked'; readonly by: string }
  | { readonly kind: 'closeAsked'; readonly by: string }
  | { readonly kind: 'sceneAsked'; readonly by: string; readonly scene: string }
  | { readonly kind: 'lockoutAsked'; readonly by: string; readonly prop: string; readonly why: string }
  | { readonly kind: 'releaseAsked'; readonly by: string; readonly prop: string; readonly seen: number }
  | { readonly kind: 'acknowledged'; readonly by: string; readonly prop: string }
  /** Repeated every 100 ms while pressed; `press` names this press. */
  | {
      readonly kind: 'benchPressed';
      readonly by: string;
      readonly prop: string;
      readonly move: string;
      readonly press: string;
    }
  | { readonly kind: 'benchLifted'; readonly by: string; readonly prop: string; readonly press: string };

/** What the desk itself knows or computed. */
export type DeskFact =
  | { readonly kind: 'timeReached' }
  | {
      readonly kind: 'deskStarted';
      readonly epoch: number;
      readonly word: string;
      /** Wall clock minus the axis, ms. */
      readonly offsetMs: number;
      /** From the small file: the highest stop and the highest cleared number known. */
      readonly stop: number;
      readonly cleared: number;
      /** The night under way now, if one is. */
      readonly night: NightTimes | null;
    }
  /** A higher epoch is on disk and is now ours. */
  | { readonly kind: 'epochTaken'; readonly epoch: number }
  /** The wall clock jumped or drifted against the axis. */
  | { readonly kind: 'clockStepped'; readonly offsetMs: number }
  /** A night's plan was drawn up, starts in ms since 1970 on the wall clock. */
  | {
      readonly kind: 'nightDrawn';
      readonly night: NightTimes;
      readonly runs: readonly PlannedStart[];
    }
  /**
   * Another yard file holds: the state before this event is that of the file before, carried over, and is kept as a
   * snapshot of the event before it. `night`: the one prepared now by the new file.
   */
  | {
      readonly kind: 'yardChanged';
      readonly by: string;
      readonly changes: number;
      readonly yardHash: string;
      readonly night: NightTimes | null;
    }
  /** The rest of the plan was mended. Replaces every run not yet started or skipped. */
  | { readonly kind: 'planMended'; readonly night: string; readonly runs: readonly PlannedStart[] }
  /** A flood was cut short: of so many messages nobody knows what they said. */
  | { readonly kind: 'readingsLost'; readonly dropped: number }
  | { readonly kind: 'recordFailed'; readonly why: string }
  | { readonly kind: 'recordResumed' }
  /** The desk's own loop stood still: silence since is its own and no prop's fault. */
  | { readonly kind: 'loopStalled'; readonly forMs: number };
