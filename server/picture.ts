import type { FaultCode, Mode, Origin } from './show/reasons.ts';

/**
 * The whole live picture, as `GET /api/yard` and the feed give it. All times are ms since 1970 by the desk's clock.
 * Objects are keyed by id, in the order of the file.
 */
export interface Picture {
  seq: number;
  at: number;
  yard: {
    id: string;
    title: string;
    timezone: string;
    demonstration: boolean;
    /** Sunrise and sunset of the yard's local date, ms; null where the sun does neither. The page darkens by it. */
    sun?: { rise: number | null; set: number | null };
  };
  mode: Mode;
  /** A sentence: why this mode, or what it waits for; null where there is nothing to say. */
  modeWhy: string | null;
  night: { date: string; open: number; close: number; quiet: number | null; notice: number } | null;
  bus: { connected: boolean; epoch: number; standsDown: string | null };
  stop: StopPicture;
  props: Record<string, PropPicture>;
  scenes: Record<string, ScenePicture>;
  /** `amps` is the steady load, without surges: what `limitAmps` is for, and the same as the plan's and the curves'. */
  circuits: Record<string, { title: string; amps: number; limitAmps: number; breakerAmps: number }>;
  tanks: Record<
    string,
    { title: string; psi: number; workingPsi: number; cutOutPsi: number; pumping: boolean }
  >;
  zones: Record<string, { title: string; runs: number; atMost: number | null }>;
  now: RunPicture[];
  /** At most 20. */
  next: RunPicture[];
  /** Said by the desk about itself: journal failing, payloads dropped, an old time-zone table. */
  notes: string[];
}

export interface StopPicture {
  latched: boolean;
  n: number;
  at: number | null;
  by: string | null;
  /** Controllers that answered this stop. */
  answered: string[];
  /** Those that did not: named until they do. */
  silent: string[];
  /** Why it can't be cleared now, in the order to deal with them. */
  bars: string[];
}

export type PropStateName = 'unknown' | 'ready' | 'moving' | 'resting' | 'locked-out' | 'silent';

export interface PropPicture {
  title: string;
  zone: string | null;
  kind: 'prop' | 'stop-station';
  controller: string;
  state: PropStateName;
  /** Its home or end, or null. */
  at: string | null;
  sensors: Record<string, { made: boolean; fresh: boolean; kind: 'end' | 'plain' }>;
  lockout: LockoutPicture | null;
  /** A sentence: what it waits for or does. */
  why: string;
  run: string | null;
  move: { move: string; since: number; usualMs: number; limitMs: number } | null;
  /** Whether its controller is heard now; a locked-out prop's state alone does not tell. */
  live: boolean;
  /** When its controller was last heard, while it is not heard now; null if never, or while it is live. */
  heard: number | null;
  counts: { cycles: number; moves: number };
  serviceDue: boolean;
  /** The warning that a move takes longer from night to night; whole nights left until its limit at that rate. */
  drift?: { move: string; nightsLeft: number } | null;
  /** Moves that may be benched. */
  moves: string[];
}

export interface LockoutPicture {
  code: FaultCode;
  since: number;
  text: string;
  /** Likely causes in order. */
  causes: string[];
  /** What to look at first, in order. */
  checks: string[];
  acknowledged: boolean;
  /** Why it can't be released now; null if a person may. */
  barred: string | null;
  /** The prop whose fault came first, where this one only follows it. */
  first: string | null;
}

export interface ScenePicture {
  title: string;
  zone: string | null;
  running: boolean;
  /** Why it can't run now, null if it could. */
  why: string | null;
  made: number;
  wanted: number;
  skipped: number;
  lastStart: number | null;
}

export interface RunPicture {
  id: string;
  scene: string;
  start: number;
}

/** What became of a planned run; `GET /api/plan` adds these to each. */
export interface RunFate {
  state: 'planned' | 'running' | 'done' | 'failed' | 'abandoned' | 'skipped' | 'stopped';
  actualStart: number | null;
  actualEnd: number | null;
  why: string | null;
}

/** A run that is on no plan: who or what started it, and what became of it. `GET /api/plan` lists tonight's. */
export interface UnplannedRun {
  id: string;
  scene: string;
  origin: Extract<Origin, 'hand' | 'trigger' | 'notice'>;
  state: Exclude<RunFate['state'], 'planned' | 'skipped'>;
  /** ms since 1970, as `actualEnd`; that is null while it runs, and where it is not known. */
  actualStart: number;
  actualEnd: number | null;
  why: string | null;
}
