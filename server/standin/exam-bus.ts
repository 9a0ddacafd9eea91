import type { Socket } from 'node:net';
import mqtt from 'mqtt';
import type { ExamBus } from './examiner.ts';
import { readPayload } from './topics.ts';

/** A bus for an examination over a broker, in real time. Rejects with a sentence where it can't be reached. */
export async function mqttExamBus(url: string, root: string): Promise<ExamBus> {
  const client = await mqtt
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
    close: () => client.endAsync(),
  };
}
