import type { NightTimes } from '../plan/tonight.ts';
import type { NightMedian } from '../trend/drift.ts';
import type { TankLevel } from '../yard/air.ts';
import type { Yard } from '../yard/types.ts';
import type { Fault, Journey, Mode, Origin, Reason, RunEnd } from './reasons.ts';

/**
 * The state of the show. Only `step` makes a new one; what it was given is never changed. All of it but `yard` is
 * plain JSON, so a snapshot is `JSON.stringify`. Times are ms on the desk's axis unless they say `wall`; the wall
 * clock is the axis plus `offsetMs`.
 */
export interface Show {
  readonly yard: Yard;
  /** Number and time of the last event taken. */
  n: number;
  at: number;
  offsetMs: number;
  mode: Mode;
  modeAt: number;
  modeBy: string;
  desk: DeskState;
  /** Why the record can't be written; null while it can. Nothing moves without a record. */
  recordFailing: string | null;
  stop: StopState;
  night: NightTimes | null;
  /** A night drawn up behind the one that is on, as behind one opened by hand: it comes when that is over. */
  nextNight: { readonly night: NightTimes; readonly planned: readonly PlannedRun[] } | null;
  /** Tonight opens with nothing planned. */
  unplanned: boolean;
  opening: Opening | null;
  /** By itself or after a power cut it would open, but for these reasons; a person opens then. */
  openingWaits: readonly Reason[];
  /** `restart: auto` after a cut: opens once nothing bars it, until this time. */
  autoOpenUntil: number | null;
  homing: Homing | null;
  controllers: Readonly<Record<string, Link>>;
  props: Readonly<Record<string, PropState>>;
  scenes: Readonly<Record<string, SceneState>>;
  tanks: Readonly<Record<string, TankLevel>>;
  /** When each zone's last runs end their gap. */
  zoneGaps: Readonly<Record<string, readonly number[]>>;
  runs: readonly Run[];
  /** In order of planned start. */
  planned: readonly PlannedRun[];
  /** Index of the first planned run that still waits to start. */
  plannedFrom: number;
  /** Night and instant that had its opening by itself, so that it comes once. */
  selfOpened: string | null;
  counters: {
    readonly home: number;
    readonly bench: number;
    readonly asked: number;
    /** Nights in which something was timed. */
    readonly nights: number;
  };
  /** Props that are in the file no more, with their lockouts and counts, in case they come back. */
  gone: Readonly<Record<string, PropState>>;
  /** Event number of the newest stop, fault or lockout: what a clear or a release must have seen. */
  troubleN: number;
}

export interface DeskState {
  readonly word: string;
  readonly epoch: number;
  readonly startedAt: number;
  readonly connected: boolean;
  /** Until then a new session is put down to the desk's own silence. */
  readonly excusedUntil: number;
  /** When the next `announce` may go out. */
  readonly announceAfter: number;
  readonly standsDown: { readonly desk: string; readonly epoch: number; readonly heardAt: number } | null;
  /** The epoch asked for and not yet taken, else 0: nothing moves meanwhile. */
  readonly takingAbove: number;
  /** When it was asked for last: a disk that refused is asked again. */
  readonly takingAt: number;
}

export interface StopState {
  readonly latched: boolean;
  /** The latched stop's number, or the last one's. */
  readonly n: number;
  readonly clearedN: number;
  readonly at: number;
  readonly by: string;
  /** Controller → when it answered this stop. */
  readonly answered: Readonly<Record<string, number>>;
  readonly sentAt: number;
  /** Whether the yard has been opened since it was cleared: until then nothing moves. */
  readonly reopened: boolean;
  /** It was not pressed here but heard of, on the bus or in a link. */
  readonly heardOf: boolean;
}

export interface Opening {
  readonly phase: 'notice' | 'homing';
  /** When the notice ends. */
  readonly noticeEndsAt: number;
  readonly by: string;
}

/** Bringing props home before opening or after closing: file order, each once, 2 min at most. */
export interface Homing {
  readonly since: number;
  readonly waiting: readonly string[];
  readonly moving: readonly string[];
}

export interface Link {
  readonly up: boolean;
  readonly session: string | null;
  readonly first: string | null;
  /** When something of its session last came; -Infinity is written as null in JSON, so 0 stands for never. */
  readonly heardAt: number;
  /** Judged live at the last sweep: so that going silent is seen once. */
  readonly live: boolean;
  readonly linkedAt: number;
  /** Sessions it had before, newest first, a few. */
  readonly past: readonly string[];
  /** When a session came back that had been replaced: two boards speak under one name. */
  readonly returnedAt: readonly number[];
  readonly firmware: string | null;
}

export interface Reading {
  readonly made: boolean;
  readonly session: string;
  readonly count: number;
  readonly at: number;
  /** Heard from the board itself: false while only the broker's retained word of it has come. */
  readonly live: boolean;
}

export interface PropState {
  readonly sensors: Readonly<Record<string, Reading>>;
  /** Recent edges of its end sensors, for chatter. */
  readonly edges: Readonly<Record<string, readonly number[]>>;
  /** False: its sensors must say, or it must be homed, before a scene may use it. */
  readonly known: boolean;
  readonly flight: Flight | null;
  readonly lockout: Lockout | null;
  /** Run that holds it. */
  readonly heldBy: string | null;
  readonly restUntil: number;
  /** When a move of it last ended: what coasts after that is no stray move. */
  readonly endedAt: number;
  /** Spans in which it moved, for duty; pruned to its `over`. */
  readonly spans: readonly (readonly [number, number])[];
  /** Last travel times by move, ms, newest last, at most TRAVELS. */
  readonly travels: Readonly<Record<string, readonly number[]>>;
  /** How many times of each move were taken since the last night's end. */
  readonly tonight: Readonly<Record<string, number>>;
  /** The middle travel time of each of the last nights by move, at most MOST_NIGHTS. */
  readonly nights: Readonly<Record<string, readonly NightMedian[]>>;
  /** The warning that stands: which of its moves drifts toward its limit. It locks nothing out. */
  readonly drift: Fault | null;
  readonly cycles: number;
  readonly moves: number;
  /** Cycles at which service was last called for. */
  readonly serviceCalledAt: number;
  /** Times of `link-lost` in the last ten minutes. */
  readonly lostAt: readonly number[];
  /** When its link came up or it was released: homing in an open yard keeps `notice` after it. */
  readonly returnedAt: number;
  /** Why homing set it aside. */
  readonly setAside: Reason | null;
  readonly bench: Bench | null;
  /** Names of the last presses, newest last: none of them begins a move again. */
  readonly spent: readonly string[];
}

export const TRAVELS = 40;
/** So many timed moves before the measured median serves in place of `usual`. */
export const TRAVELS_ENOUGH = 20;

export interface Bench {
  readonly press: string;
  readonly by: string;
  readonly lastAt: number;
  /** Let go, or the move ended: this press sends nothing more. */
  readonly over: boolean;
}

/** So many names of presses that are over are kept for each prop: a late repeat of one must move nothing. */
export const SPENT_PRESSES = 50;

/** A move told to a prop and not yet at rest. */
export interface Flight {
  readonly run: string;
  readonly step: number;
  readonly move: string;
  readonly session: string;
  readonly origin: Origin;
  readonly sentAt: number;
  readonly tries: number;
  readonly startedAt: number | null;
  /** First of `started` and a sensor's edge: the limit counts from here. */
  readonly countFrom: number | null;
  readonly arrivedAt: number | null;
  /** The end it stood at when told, and when it left that end. */
  readonly from: string | null;
  readonly leftAt: number | null;
  readonly expectMs: number;
  /**
   * It may or may not be moving still: it counts as moving and at its draw, and ends with its position unknown.
   * `silent`: its link went away; should that return in the same session, its deadlines run again.
   * `let-go`: its board lets go of it by the contract, since a stop, a restart or another desk came between; no
   * deadline runs, and a new session, its own end or a person's lockout clears it.
   */
  readonly lost: 'silent' | 'let-go' | null;
  /** A person took it out of service while it could not be heard: it draws nothing any more, but is not at rest. */
  readonly freed?: boolean;
  readonly halting: { readonly since: number; readonly sentAt: number; readonly why: string } | null;
}

export interface Lockout {
  readonly fault: Fault;
  /** Event number at which it was raised. */
  readonly n: number;
  readonly acknowledged: boolean;
  /** Goes by itself when the controller answers the stop of this number. */
  readonly untilStop: number | null;
  /** A person's reason, where it was taken out of service by hand beside this fault: released with no other. */
  readonly hand: string | null;
}

export interface SceneState {
  readonly lastStartAt: number | null;
  readonly lastEndAt: number | null;
  readonly made: number;
  readonly skipped: number;
  /** Highest run number used or planned, by night: a run's name is never used twice. */
  readonly used: Readonly<Record<string, number>>;
}

export type RunState = 'homing' | 'running' | 'failing' | 'tidying';

export interface Run {
  readonly id: string;
  readonly scene: string;
  readonly origin: Origin;
  readonly startedAt: number;
  readonly state: RunState;
  /** Index into the scene's steps. */
  readonly pos: number;
  /** Number of the next move. */
  readonly step: number;
  /** When the present step became due. */
  readonly since: number;
  /** True once the present step's moves are sent, or its wait has begun. */
  readonly begun: boolean;
  /** Props with a move of the present step. */
  readonly with: readonly string[];
  /** Props still to be homed before the first step. */
  readonly toHome: readonly string[];
  readonly tidyPos: number;
  readonly waitsFor: Reason | null;
  /** What it ends as, once something went wrong. */
  readonly ends: {
    readonly as: 'failed' | 'abandoned';
    readonly why: RunEnd;
    readonly prop: string | null;
  } | null;
  readonly moved: readonly string[];
  /** Its whole journeys so far, for the line of its end. */
  readonly journeys: readonly Journey[];
}

export interface PlannedRun {
  readonly id: string;
  readonly scene: string;
  /** When it is to start now, wall clock: as drawn up, or later where the plan was mended. */
  readonly startMs: number;
  /** When it was to start as drawn up, wall clock: how late it may be counts from here. */
  readonly drawnMs: number;
  readonly state: 'planned' | 'running' | 'done' | 'failed' | 'abandoned' | 'skipped' | 'stopped';
  readonly actualStartMs: number | null;
  readonly actualEndMs: number | null;
  readonly why: Reason | null;
}

export const NEVER = 0;

/** Whether a night was opened by hand and is in no file: its name says so, as `handNight` gives it. */
export const isByHand = (night: Pick<NightTimes, 'date'>): boolean => night.date.endsWith('-hand');

export const wallOf = (show: Show, at: number): number => at + show.offsetMs;
export const axisOf = (show: Show, wallMs: number): number => wallMs - show.offsetMs;
