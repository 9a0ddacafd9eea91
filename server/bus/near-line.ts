import type { Aedes, AedesPublishPacket } from 'aedes';
import { FLUSH_MS_MAX, type Line, type LineEnds, type Outgoing } from './line.ts';

/**
 * The desk's line to its own broker: a call where others have a connection, so that neither a full socket nor a flood
 * from others stands before a stop, and nothing needs a secret to tell the desk from the rest.
 */
export function nearLine(
  aedes: Aedes,
  root: string,
  ends: LineEnds,
  retained: ReadonlyMap<string, Uint8Array>,
  left: () => void,
): Line {
  let state: Line['state'] = 'away';
  let leaving = false;
  /** Said, and not yet written to every subscriber's socket. */
  let pending = 0;
  let emptied = () => {};
  const filter = `${root}/#`;

  function deliver(packet: AedesPublishPacket, done: () => void): void {
    // what is said live bears no retain flag, whatever its publisher set
    if (state === 'up') ends.message(packet.topic, bytesOf(packet.payload), false);
    done();
  }
  aedes.subscribe(filter, deliver, () => {
    if (leaving) return;
    state = 'up';
    ends.up();
    for (const [topic, payload] of [...retained]) {
      if (topic.startsWith(`${root}/`)) ends.message(topic, payload, true);
    }
  });

  function publish(message: Outgoing): void {
    const { topic, payload, qos, retain } = message;
    aedes.publish({ cmd: 'publish', topic, payload, qos, retain, dup: false }, () => {
      if (--pending === 0) emptied();
    });
  }

  /**
   * Each message in a turn of the loop's own: where one of QoS 0 overtook an earlier one of QoS 1 inside the broker, the
   * latter would be taken for a repetition and thrown away, and it may be a stop.
   */
  function say(message: Outgoing): void {
    pending++;
    setImmediate(publish, message);
  }

  function flushed(): Promise<void> {
    if (pending === 0) return Promise.resolve();
    return new Promise((resolve) => {
      const late = setTimeout(resolve, FLUSH_MS_MAX);
      const before = emptied;
      emptied = () => {
        before();
        emptied = () => {};
        clearTimeout(late);
        resolve();
      };
    });
  }

  return {
    get state() {
      return state;
    },
    send(message) {
      if (state !== 'up' || aedes.closed) return false;
      say(message);
      return true;
    },
    flushed,
    reset() {},
    async close(last) {
      if (leaving) return;
      leaving = true;
      const wasUp = state === 'up';
      state = 'away';
      left();
      aedes.unsubscribe(filter, deliver, () => {});
      if (last === undefined || !wasUp || aedes.closed) return;
      say(last);
      await flushed();
    },
  };
}

export function bytesOf(payload: string | Buffer): Uint8Array {
  return typeof payload === 'string' ? Buffer.from(payload) : payload;
}
