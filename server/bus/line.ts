import type { Drop } from './drop.ts';

/** What the bus says on the way, to a logger such as pino. Never a password. */
export interface Log {
  info(details: object, message: string): void;
  warn(details: object, message: string): void;
}

export interface Outgoing {
  readonly topic: string;
  readonly payload: string;
  readonly qos: 0 | 1;
  readonly retain: boolean;
  /** Whole seconds after which a broker of MQTT 5 throws it away undelivered; others never know of it. */
  readonly expirySeconds?: number;
}

/** What a line tells whoever opened it. Messages come in the order of arrival, and none before `up`. */
export interface LineEnds {
  /** Connected and subscribed: from now on messages are heard and may be sent. */
  up(): void;
  down(why: string): void;
  /** `retained`: kept by the broker from earlier. */
  message(topic: string, payload: Uint8Array, retained: boolean): void;
  /** So much has been heard and not yet taken that whoever says more had better wait; where that is in our hands. */
  readonly crowded?: boolean;
  /** Something was thrown away before it could be a message. */
  refused(topic: string, drop: Drop): void;
}

/** One way to a broker. It keeps nothing back for later: what can't be handed over now is not sent. */
export interface Line {
  /** `open`: the broker has accepted the connection; `up`: the subscriptions stand too. */
  readonly state: 'away' | 'open' | 'up';
  /** Hands it over at once and answers true, or drops it and answers false. `urgent` goes even where the way is clogged or not yet subscribed. */
  send(message: Outgoing, urgent: boolean): boolean;
  /** Resolves once what was handed over has left this process, or after `FLUSH_MS_MAX`. Never rejects. */
  flushed(): Promise<void>;
  /** Gives the connection up as dead, to begin a new one. */
  reset(why: string): void;
  /** Says a last word where there is one, then leaves in order. No event comes after it. */
  close(last?: Outgoing): Promise<void>;
}

/** Sockets that take nothing are not waited for longer than this. */
export const FLUSH_MS_MAX = 50;

/**
 * No packet of the contract comes near this: 4 KiB of payload, a topic, and for CONNECT a will, user and password.
 * Above it a connection is cut, since its bytes would be gathered in memory.
 */
export const PACKET_BYTES_MAX = 64 * 1024;
