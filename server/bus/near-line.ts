import type { Aedes, AedesPublishPacket } from 'aedes';
import { FLUSH_MS_MAX, type Line, type LineEnds, type Outgoing } from './line.ts';

/** With the client that said it; none where it was the desk itself. */
type Delivered = AedesPublishPacket & { readonly clientId?: string };

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

  function deliver(packet: Delivered, done: () => void): void {
    // what is said live bears no retain flag, whatever its publisher set
    if (state === 'up') ends.message(packet.topic, bytesOf(packet.payload), false);
    // our own word waits for nothing, and least of all a stop
    if (packet.clientId === undefined || !crowded()) return done();
    held.push(done);
    if (held.length === 1) setImmediate(letOn);
  }

  const crowded = (): boolean => state === 'up' && ends.crowded === true;

  /** Each of them keeps the broker from reading on from the client that sent it, and holds up nobody else. */
  const held: (() => void)[] = [];
  function letOn(): void {
    if (crowded()) return void setImmediate(letOn);
    for (const done of held.splice(0)) done();
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
    if (qos > 0 || retain) {
      settling = true;
      setImmediate(settled);
    }
    aedes.publish({ cmd: 'publish', topic, payload, qos, retain, dup: false }, () => {
      if (--pending === 0) emptied();
    });
  }

  /**
   * At once, where nothing of ours is on its way through the broker or waits to be; else each in a turn of the loop's own.
   * Where one of QoS 0 overtook an earlier one of QoS 1 inside the broker, the latter would be taken for a repetition
   * and thrown away, and it may be a stop.
   */
  function say(message: Outgoing): void {
    pending++;
    if (!settling && waiting === 0) return publish(message);
    waiting++;
    setImmediate(() => {
      waiting--;
      publish(message);
    });
  }
  let waiting = 0;
  /** QoS 1 and retained take some promises through the broker, all of which are kept before the next turn of the loop. */
  let settling = false;
  const settled = (): void => {
    settling = false;
  };

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
