import type { BusFact } from '../show/events.ts';
import { dial } from './dial.ts';
import { readMessage, type YardIndex } from './intake.ts';
import type { Log, Outgoing } from './line.ts';
import type { Identity } from './port.ts';
import { filterOf } from './topics.ts';

export interface Scouted {
  /** Over what is retained of `desk` and `link`; 0 where there is nothing. */
  readonly highestEpoch: number;
  /** Whose heartbeat is there; the highest where there are several. */
  readonly other: Identity | null;
}

interface ScoutOptions {
  readonly url: string;
  readonly clientId: string;
  readonly index: YardIndex;
  readonly log: Log;
  /**
   * A `stop` or its clear: a desk that waits must know their numbers, for its own stop goes out meanwhile and counts for
   * nothing at or below one that the boards know to be cleared.
   */
  readonly onStop: (fact: Extract<BusFact, { kind: 'stopHeard' }>) => void;
}

/**
 * Listens on another's broker without a will and without a name, before this desk has an epoch. The line stays until
 * it is closed, so that a `stop` can go out by it meanwhile.
 */
export function scoutLine(options: ScoutOptions): {
  listen(ms: number): Promise<Scouted>;
  send(message: Outgoing): boolean;
  close(): Promise<void>;
} {
  const { url, clientId, index, log } = options;
  const filters = (['desk', 'link', 'heartbeat', 'stop'] as const).map((kind) => filterOf(index.root, kind));
  let highestEpoch = 0;
  let other: Identity | null = null;
  let waiting: { ms: number; done: (found: Scouted) => void; fail: (why: Error) => void } | null = null;
  let timer: NodeJS.Timeout | null = null;

  function finish(): void {
    const { done } = waiting!;
    waiting = null;
    done({ highestEpoch, other });
  }

  function arm(): void {
    if (timer !== null) clearTimeout(timer);
    timer = waiting !== null && line.state === 'up' ? setTimeout(finish, waiting.ms) : null;
  }

  function heard(topic: string, payload: Uint8Array, retained: boolean): void {
    const read = readMessage(index, topic, payload, retained);
    if (!('fact' in read)) return;
    const { fact } = read;
    if (fact.kind === 'stopHeard') options.onStop(fact);
    if (fact.kind === 'linkHeard' && fact.up) highestEpoch = Math.max(highestEpoch, fact.epoch);
    if (fact.kind !== 'deskHeard') return;
    if (fact.by === 'desk') highestEpoch = Math.max(highestEpoch, fact.epoch);
    else if (other === null || fact.epoch >= other.epoch) other = { desk: fact.desk, epoch: fact.epoch };
  }

  const line = dial(
    { url, clientId, filters, will: () => null, log },
    // listening counts from when the subscriptions stand, and anew where the way broke meanwhile
    { up: arm, down: arm, refused: () => {}, message: heard },
  );

  return {
    listen(ms) {
      if (waiting !== null) return Promise.reject(new Error('already listening'));
      other = null;
      return new Promise<Scouted>((done, fail) => {
        waiting = { ms, done, fail };
        arm();
      });
    },
    send: (message) => line.send(message, true),
    async close() {
      if (timer !== null) clearTimeout(timer);
      waiting?.fail(new Error('the bus was closed while it listened for another desk'));
      waiting = null;
      await line.close();
    },
  };
}
