import type { Socket } from 'node:net';
import { connect, type IClientOptions, type MqttClient } from 'mqtt';
import { KEEP_ALIVE_S_MAX } from './contract.ts';
import { drop } from './drop.ts';
import { type Line, type LineEnds, type Log, type Outgoing, PACKET_BYTES_MAX } from './line.ts';
import { packetMeter } from './packet-meter.ts';

export interface DialOptions {
  /** `mqtt://host:1883` or `mqtts://…`, with user and password where the broker wants them. */
  readonly url: string;
  readonly clientId: string;
  readonly filters: readonly string[];
  /** Asked anew for each connection; null where none is wanted. */
  readonly will: () => Outgoing | null;
  readonly log: Log;
}

const BACKOFF_MS = [100, 200, 400, 800, 1600, 2000];
const STEADY_AFTER_MS = 5000;
const CONNECT_MS = 5000;
const LAST_WORD_MS = 500;
/** Bytes not yet taken by the network above which nothing that may be late is handed over. */
const CLOGGED_BYTES = 64 * 1024;
const HELD_MESSAGES_MAX = 20_000;
/** CONNACK 'unacceptable protocol version': 1 in MQTT 3.1.1 (3.2.2.3), 132 in 5 (3.2.2.2). */
const WRONG_VERSION = [1, 132];

/**
 * A line to a broker somewhere else, kept up for as long as it is wanted: MQTT 5 where the broker speaks it, else 3.1.1.
 *
 * Each connection is a client of its own, made anew and thrown away with all it still held. The client's own way of
 * reconnecting would send again what was not acknowledged (MQTT asks for that in a kept session, and it does so in a
 * clean one too), and a message sent again after a break is a late message.
 */
export function dial(options: DialOptions, ends: LineEnds): Line {
  const { log } = options;
  let state: Line['state'] = 'away';
  let client: MqttClient | null = null;
  let version: 4 | 5 = 5;
  let refusesFive = false;
  let attempt = 0;
  let timer: NodeJS.Timeout | null = null;
  let leaving = false;
  let lastSaid = '';
  let resetWhy: string | null = null;

  function begin(): void {
    timer = null;
    const mine = connect(options.url, connectOptions(options, version));
    client = mine;
    let reached = false;
    let answered = false;
    let refused = false;
    let why = 'the connection ended';
    let upAt = Number.POSITIVE_INFINITY;
    const held: [string, Uint8Array, boolean][] = [];

    mine.stream.once('connect', () => {
      reached = true;
      // a stop is not to wait until the broker has acknowledged the heartbeat before it
      (mine.stream as Partial<Socket>).setNoDelay?.(true);
    });
    mine.stream.on(
      'data',
      packetMeter(PACKET_BYTES_MAX, (bytes) => {
        const why = `the broker sent a packet of ${bytes} bytes; the connection was cut`;
        // its host alone: the address may hold a password
        ends.refused('', drop('too-large', why, new URL(options.url).host));
        mine.stream.destroy();
      }),
    );
    mine.on('connect', () => {
      answered = true;
      state = 'open';
      mine.subscribe([...options.filters], { qos: 1 }, (error) => {
        if (client !== mine) return;
        if (error !== null) {
          why = `the broker refused a subscription (${error.message}): look at its access list`;
          mine.stream.destroy();
          return;
        }
        state = 'up';
        upAt = performance.now();
        lastSaid = '';
        log.info({ mqtt: version }, 'bus: connected');
        ends.up();
        for (const message of held.splice(0)) ends.message(...message);
      });
    });
    // retained messages may come before the subscriptions are acknowledged (MQTT 3.1.1, 3.8.4)
    mine.on('message', (topic, payload, packet) => {
      if (client !== mine) return;
      if (state === 'up') ends.message(topic, payload, packet.retain);
      else if (held.length < HELD_MESSAGES_MAX) held.push([topic, payload, packet.retain]);
    });
    mine.on('error', (error) => {
      if (client !== mine) return;
      why = error.message;
      const code = (error as { code?: unknown }).code;
      if (!answered && version === 5 && WRONG_VERSION.includes(code as number)) {
        refused = true;
        refusesFive = true;
      }
    });
    mine.on('close', () => {
      if (client !== mine) return;
      // some brokers of 3.1.1 hang up on what they don't know, without a word
      if (refused) version = 4;
      else if (answered) version = refusesFive ? 4 : 5;
      else if (reached && !refusesFive) version = version === 5 ? 4 : 5;
      if (performance.now() - upAt > STEADY_AFTER_MS) attempt = 0;
      lost(mine, resetWhy ?? why, refused ? 0 : BACKOFF_MS[Math.min(attempt++, BACKOFF_MS.length - 1)]!);
    });
  }

  function lost(mine: MqttClient, why: string, againMs: number): void {
    const wasUp = state === 'up';
    state = 'away';
    client = null;
    resetWhy = null;
    mine.end(true);
    if (againMs > 0 && why !== lastSaid) log.warn({ why }, 'bus: no connection to the broker');
    lastSaid = why;
    if (!leaving) timer = setTimeout(begin, againMs);
    if (wasUp && !leaving) ends.down(why);
  }

  begin();

  return {
    get state() {
      return state;
    },
    send(message, urgent) {
      if (state === 'away' || client === null || leaving) return false;
      if (client.stream.destroyed || !client.connected) return false;
      if (!urgent && (state !== 'up' || client.stream.writableLength > CLOGGED_BYTES)) return false;
      publish(client, version, message, log);
      // to the network at once and not at the end of this turn, in which its record may be written
      while (urgent && (client.stream as Socket).writableCorked > 0) client.stream.uncork();
      return true;
    },
    // written to the socket at the end of the turn in which it was handed over
    flushed: () => new Promise((resolve) => setImmediate(() => setImmediate(resolve))),
    reset(why) {
      if (client === null || state === 'away') return;
      resetWhy = why;
      client.stream.destroy();
    },
    async close(last) {
      if (leaving) return;
      leaving = true;
      if (timer !== null) clearTimeout(timer);
      const mine = client;
      if (mine === null) return;
      const polite = state !== 'away' && (await saidInTime(mine, version, last, log));
      client = null;
      state = 'away';
      // without a DISCONNECT the broker says the will in our stead [MQTT-3.1.2-8]
      await new Promise<void>((resolve) => {
        const late = setTimeout(() => {
          mine.end(true);
          resolve();
        }, LAST_WORD_MS);
        mine.end(!polite, () => {
          clearTimeout(late);
          resolve();
        });
      });
    },
  };
}

function connectOptions(options: DialOptions, version: 4 | 5): IClientOptions {
  const will = options.will();
  return {
    protocolVersion: version,
    clientId: options.clientId,
    clean: true,
    keepalive: KEEP_ALIVE_S_MAX / 2,
    connectTimeout: CONNECT_MS,
    // see `dial`: no connection is ever taken up again
    reconnectPeriod: 0,
    resubscribe: false,
    queueQoSZero: false,
    ...(version === 5 ? { properties: { maximumPacketSize: PACKET_BYTES_MAX } } : {}),
    ...(will === null
      ? {}
      : {
          will: { topic: will.topic, payload: Buffer.from(will.payload), qos: will.qos, retain: will.retain },
        }),
  };
}

function publish(
  client: MqttClient,
  version: 4 | 5,
  message: Outgoing,
  log: Log,
  done?: (ok: boolean) => void,
): void {
  const { topic, payload, qos, retain, expirySeconds } = message;
  const expiry =
    version === 5 && expirySeconds !== undefined
      ? { properties: { messageExpiryInterval: expirySeconds } }
      : {};
  client.publish(topic, payload, { qos, retain, ...expiry }, (error) => {
    // of MQTT 5 only: 3.1.1 has no way to say no
    if (error instanceof Error && 'code' in error) {
      log.warn({ topic, why: error.message }, 'bus: the broker refused a message: look at its access list');
    }
    done?.(!(error instanceof Error));
  });
}

async function saidInTime(
  client: MqttClient,
  version: 4 | 5,
  last: Outgoing | undefined,
  log: Log,
): Promise<boolean> {
  if (last === undefined) return true;
  return new Promise<boolean>((resolve) => {
    const late = setTimeout(() => resolve(false), LAST_WORD_MS);
    publish(client, version, last, log, (ok) => {
      clearTimeout(late);
      resolve(ok);
    });
  });
}
