import type { StartMove } from '../show/effects.ts';
import type { BusFact } from '../show/events.ts';
import type { Drop } from './drop.ts';

/** Who speaks for the yard: the random word of this start and its epoch. */
export interface Identity {
  readonly desk: string;
  readonly epoch: number;
}

/**
 * What the desk sends. Each call hands the message to a connected client at once and answers true, or drops it and
 * answers false: nothing is ever queued for a broker that is away, since a queue delivers late.
 */
export interface BusPort {
  readonly connected: boolean;
  /** `do`, QoS 0. */
  startMove(order: StartMove, who: Identity): boolean;
  haltProp(prop: string, why: string, who: Identity): boolean;
  /** `stop`, retained, QoS 1; latched or cleared. */
  stop(latched: boolean, n: number, who: Identity): boolean;
  announce(who: Identity): boolean;
  notice(inMs: number, who: Identity): boolean;
  /** The retained `desk`. */
  desk(who: Identity): boolean;
  heartbeat(who: Identity, n: number, stop: number): boolean;
  /**
   * Resolves once what was handed over has left the process, within 50 ms, and never rejects: a stop has gone out
   * before anything is written to disk. Left out where handing over is leaving.
   */
  flushed?(): Promise<void>;
}

export interface BusListener {
  /** A parsed fact, in the order of arrival. Never called for what was dropped. */
  fact(fact: BusFact): void;
  /**
   * More waits than the next turn takes: the own broker then reads on from a client only as its messages are taken. A
   * broker elsewhere is heard all the same, for what it drops by itself nobody would know of.
   */
  readonly crowded?: boolean;
  /** A beat: kept apart since the desk folds them. */
  beat(controller: string, session: string): void;
  /** A message that was malformed, oversized, unknown, retained where it may not be: counted and shown. */
  dropped(topic: string, drop: Drop): void;
}
