import { createServer, type Server, type Socket } from 'node:net';
import { Aedes, type AedesPublishPacket, type Client, type Subscription } from 'aedes';
import { KEEP_ALIVE_S_MAX, PAYLOAD_BYTES_MAX } from './contract.ts';
import { type Drop, drop } from './drop.ts';
import { type Line, type LineEnds, type Log, PACKET_BYTES_MAX } from './line.ts';
import { bytesOf, nearLine } from './near-line.ts';
import { packetMeter } from './packet-meter.ts';
import { refusePublish } from './permission.ts';
import { readInPieces } from './pieces.ts';

/** How much one yard's broker bears. Far above any yard, far below what would starve the desk beside it. */
const LIMITS = {
  connections: 1000,
  retainedTopics: 5000,
  subscriptionsEach: 2000,
  /** Bytes waiting for a client that does not read; above it the client is cut, so that no one waits for it. */
  unreadBytes: 128 * 1024,
  /** Taken from one client before the others have their turn: some 150 readings. */
  pieceBytes: 16 * 1024,
  connectMs: 5000,
  inflightQos2: 20,
} as const;

export interface BrokerOptions {
  readonly host: string;
  /** 0: any free port. */
  readonly port: number;
  readonly root: string;
  /** The desk's word of this start: only the desk speaks under it. */
  readonly word: string;
  readonly log: Log;
}

/** The desk's own broker, of MQTT 3.1.1 only, in the desk's process. */
export interface Broker {
  readonly host: string;
  readonly port: number;
  /** Connections over the network; the desk itself needs none. */
  readonly clients: number;
  /** The desk's way in: hears and says everything under the root without a connection. One at a time. */
  line(ends: LineEnds): Line;
  /** Cuts every connection and frees the port. */
  close(): Promise<void>;
}

/** The broker could not listen. `message` is for a builder. */
export class BrokerError extends Error {
  readonly code: 'bus-port-taken' | 'bus-no-address' | 'bus-no-port';

  constructor(code: BrokerError['code'], message: string, cause: Error) {
    super(message, { cause });
    this.name = 'BrokerError';
    this.code = code;
  }
}

/**
 * Starts the embedded broker. Rejects with a `BrokerError` where the port is taken, the address is none of this
 * machine's, or listening is not allowed.
 */
export async function startBroker(options: BrokerOptions): Promise<Broker> {
  const { root, word, log } = options;
  const retained = new Map<string, Uint8Array>();
  const subscribed = new WeakMap<Client, number>();
  const sockets = new Set<Socket>();
  let ends: LineEnds | null = null;

  const aedes = await Aedes.createBroker({
    // messages to one slow client must not hold up those to others: see `forward`
    concurrency: 0,
    drainTimeout: 1000,
    connectTimeout: LIMITS.connectMs,
    maxInflightInbound: LIMITS.inflightQos2,
    preConnect(client, packet, done) {
      if (packet.protocolVersion !== 4) {
        // answered by 'unacceptable protocol version' [MQTT-3.1.2-2]; 3.1 would otherwise be let in
        packet.protocolVersion = 2 as never;
      }
      // everyone has a clean session: a kept one would be queued for, and be given old messages as new ones
      packet.clean = true;
      if (packet.keepalive === 0 || (packet.keepalive ?? 0) > KEEP_ALIVE_S_MAX) {
        const details = { client: packet.clientId, keepAliveSeconds: packet.keepalive };
        log.info(details, `bus: a client asks for a keep-alive above ${KEEP_ALIVE_S_MAX} s`);
      }
      done(null, !client.closed);
    },
    authorizePublish(_client, packet, done) {
      // kept for long, it must not hold on to all that came in one piece with it
      if (packet.retain) packet.payload = Buffer.from(packet.payload);
      const refused =
        refusePublish({ root, word }, packet.topic, bytesOf(packet.payload), packet.retain) ??
        keepRetained(packet.topic, bytesOf(packet.payload), packet.retain);
      if (refused !== null) {
        ends?.refused(packet.topic, refused);
        // acknowledged as usual, and goes where nobody listens: no filter of a client matches a first $
        packet.topic = '$refused';
        packet.payload = '';
        packet.retain = false;
      }
      done(null);
    },
    authorizeSubscribe(client, subscription: Subscription, done) {
      const count = (subscribed.get(client) ?? 0) + 1;
      subscribed.set(client, count);
      done(null, count > LIMITS.subscriptionsEach ? null : subscription);
    },
    authorizeForward: forward,
  });

  /** Keeps count of what is retained, and a copy for the desk's own line. Returns why it is too much, or null. */
  function keepRetained(topic: string, payload: Uint8Array, retain: boolean): Drop | null {
    if (!retain) return null;
    if (payload.length === 0) {
      retained.delete(topic);
    } else if (payload.length > PAYLOAD_BYTES_MAX) {
      return drop('too-large', `${payload.length} bytes, at most ${PAYLOAD_BYTES_MAX} are retained`);
    } else if (retained.size >= LIMITS.retainedTopics && !retained.has(topic)) {
      return drop('kept', `more than ${LIMITS.retainedTopics} retained topics`);
    } else {
      retained.set(topic, payload);
    }
    return null;
  }

  const told = (client: Client | null, error: Error) =>
    log.info({ client: client?.id ?? null, error: error.message }, 'bus: a client was cut off');
  aedes.on('clientError', told);
  aedes.on('connectionError', told);
  aedes.on('keepaliveTimeout', (client) => log.info({ client: client.id }, 'bus: a client fell silent'));
  (aedes as NodeJS.EventEmitter).on('error', (error: Error) =>
    log.warn({ error: error.message }, 'bus: trouble in the broker'),
  );

  const socketOptions = {
    noDelay: true,
    keepAlive: true,
    keepAliveInitialDelay: 10_000,
    // above `unreadBytes`, so that the broker never waits for a client's socket: `forward` cuts it before
    highWaterMark: 2 * LIMITS.unreadBytes,
  };
  const server = createServer(socketOptions, (socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    // a client that resets its connection before the broker listens to it must not end the process
    socket.on('error', () => {});
    readInPieces(socket, LIMITS.pieceBytes);
    aedes.handle(socket);
    // added after the broker's own listener: it then sees each chunk as the broker takes it
    socket.on(
      'data',
      packetMeter(PACKET_BYTES_MAX, (bytes) => {
        const from = socket.remoteAddress ?? 'someone';
        ends?.refused('', drop('too-large', `a packet of ${bytes} bytes from ${from}, cut off`, from));
        socket.destroy();
      }),
    );
  });
  server.maxConnections = LIMITS.connections;
  server.once('drop', () =>
    log.warn({ limit: LIMITS.connections }, 'bus: too many connections, more are refused'),
  );
  try {
    await listen(server, options.host, options.port);
  } catch (error) {
    await new Promise<void>((resolve) => aedes.close(resolve));
    throw error;
  }
  const address = server.address();
  const port = typeof address === 'object' && address !== null ? address.port : options.port;

  return {
    host: options.host,
    port,
    get clients() {
      return sockets.size;
    },
    line(given) {
      ends = given;
      return nearLine(aedes, root, given, retained, () => {
        if (ends === given) ends = null;
      });
    },
    async close() {
      const freed = new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => aedes.close(resolve));
      for (const socket of sockets) socket.destroy();
      await freed;
    },
  };
}

/**
 * A client whose bytes pile up is cut: a stalled one would otherwise hold up everyone, since the broker reads on from a
 * publisher only when all subscribers have taken what it said before. Its will and its silence tell the desk.
 */
function forward(client: Client, packet: AedesPublishPacket): AedesPublishPacket | null {
  if (client.conn.writableLength <= LIMITS.unreadBytes) return packet;
  client.conn.destroy(new Error('does not read what it is sent'));
  return null;
}

function listen(server: Server, host: string, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => reject(listenError(error, host, port)));
    server.listen(port, host, () => {
      server.removeAllListeners('error');
      server.on('error', () => {});
      resolve();
    });
  });
}

function listenError(error: NodeJS.ErrnoException, host: string, port: number): BrokerError {
  const at = `${host}:${port}`;
  if (error.code === 'EADDRINUSE') {
    return new BrokerError(
      'bus-port-taken',
      `The bus can't listen on ${at}: another program has that port, perhaps another broker or another Dusklatch. End it, or name another port in the yard file (bus: listen) or in DUSKLATCH_BUS_PORT.`,
      error,
    );
  }
  if (error.code === 'EADDRNOTAVAIL' || error.code === 'ENOTFOUND' || error.code === 'EAI_AGAIN') {
    return new BrokerError(
      'bus-no-address',
      `The bus can't listen on ${at}: this computer has no such address. Look at bus: listen in the yard file; 0.0.0.0 stands for all of its addresses.`,
      error,
    );
  }
  return new BrokerError('bus-no-port', `The bus can't listen on ${at}: ${error.message}.`, error);
}
