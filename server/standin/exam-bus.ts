import { type AddressInfo, createServer, type Socket } from 'node:net';
import { Aedes } from 'aedes';
import mqtt, { type MqttClient } from 'mqtt';
import type { ExamBus, Payload } from './examiner.ts';
import { readPayload } from './topics.ts';

/** ms that a broker may take to give out what it holds. */
const KEPT_MS = 1500;

function connected(url: string): Promise<MqttClient> {
  return mqtt
    .connectAsync(url, {
      protocolVersion: 4,
      clean: true,
      keepalive: 10,
      reconnectPeriod: 0,
      connectTimeout: 5000,
    })
    .catch((error: Error) => {
      throw new Error(`No bus at ${url}: ${error.message || 'connection refused'}.`);
    });
}

/** What a broker at `url` holds on these topics: asked by a connection of its own, which has heard nothing before. */
async function keptAt(url: string, topics: readonly string[]): Promise<ReadonlyMap<string, Payload>> {
  const found = new Map<string, Payload>();
  const client = await connected(url);
  client.on('error', () => {});
  await new Promise<void>((resolve) => {
    const timer = setTimeout(resolve, KEPT_MS);
    client.on('message', (topic, bytes, packet) => {
      const payload = readPayload(bytes);
      if (packet.retain && payload) found.set(topic, payload);
      if (!topics.every((t) => found.has(t))) return;
      clearTimeout(timer);
      resolve();
    });
    client.subscribe([...topics], { qos: 1 });
  });
  await client.endAsync();
  return found;
}

/** A bus for an examination over a broker, in real time. Rejects with a sentence where it can't be reached. */
export async function mqttExamBus(url: string, root: string): Promise<ExamBus> {
  const client = await connected(url);
  (client.stream as unknown as Partial<Socket>).setNoDelay?.(true);
  let listener: Parameters<ExamBus['onMessage']>[0] = () => {};
  const waiting = new Set<() => void>();
  client.on('message', (topic, bytes, packet) => {
    listener(topic, readPayload(bytes), packet.retain);
    for (const ask of [...waiting]) ask();
  });
  client.on('error', () => {});

  return {
    nowMs: () => performance.now(),
    onMessage(given) {
      listener = given;
      client.subscribe(`${root}/#`, { qos: 1 });
    },
    publish: (topic, payload, retain, qos) => {
      client.publish(topic, payload, { retain, qos });
    },
    every(ms, act) {
      act();
      const timer = setInterval(act, ms);
      return () => clearInterval(timer);
    },
    wait: (ms, until) =>
      new Promise((resolve) => {
        const ends = (held: boolean) => {
          clearTimeout(timer);
          waiting.delete(ask);
          resolve(held);
        };
        const ask = () => {
          if (until?.()) ends(true);
        };
        const timer = setTimeout(() => ends(until?.() ?? false), ms);
        waiting.add(ask);
        ask();
      }),
    kept: (topics) => keptAt(url, topics),
    close: () => client.endAsync(),
  };
}

/** A broker for an examination where the yard's own bus is the yard computer's, which is off then. */
export interface ExamBroker {
  readonly url: string;
  close(): Promise<void>;
}

/**
 * Opens a broker where the boards look for the yard computer's. It lets everyone say anything, so it lives no longer
 * than the examination. Rejects with a sentence where the port is taken; port 0 is any free one.
 */
export async function examBroker(host: string, port: number): Promise<ExamBroker> {
  const aedes = await Aedes.createBroker();
  const sockets = new Set<Socket>();
  const server = createServer({ noDelay: true }, (socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    socket.on('error', () => {});
    aedes.handle(socket);
  });
  try {
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject);
      server.listen(port, host, resolve);
    });
  } catch (error) {
    await new Promise<void>((resolve) => aedes.close(() => resolve()));
    const taken = (error as NodeJS.ErrnoException).code === 'EADDRINUSE';
    const why = taken ? 'it is taken. Is the yard computer running? Stop it first' : (error as Error).message;
    throw new Error(`No bus can be opened at ${host}:${port}: ${why}.`);
  }
  const bound = (server.address() as AddressInfo).port;
  const near = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host;
  return {
    url: `mqtt://${near}:${bound}`,
    close: async () => {
      const freed = new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => aedes.close(() => resolve()));
      for (const socket of sockets) socket.destroy();
      await freed;
    },
  };
}
